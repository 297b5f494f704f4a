"""A study, as an answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ...analysis.study.points import Study
from ...planning.best_degree.candidates import held_to_degree
from ...problem import Problem
from ..answer import Answer, Outcome
from ..tables.data_table import DataTable
from .data import study_data, study_rows
from .table import study_summary, study_table

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from rich.console import RenderableType


@dataclass(frozen=True)
class StudyAnswer(Answer):
    """A line solved over and over while some of its figures vary.

    Attributes
    ----------
    study : Study
    against : str or None
        The varied number that is taken for the cost.
    usual_degree : bool
        Whether nobody asked for the degree.
    """

    study: Study
    against: str | None = None
    usual_degree: bool = False

    @property
    def problem(self) -> Problem:  # type: ignore[override]
        """The line as it is."""
        return self.study.problem

    @property
    def outcome(self) -> Outcome:  # type: ignore[override]
        """Whether all points were solved, and any has a schedule."""
        points = self.study.points
        if not self.study.complete:
            return "stopped"
        if any(point.schedule is not None for point in points):
            return "done"
        return "no" if all(point.status == "infeasible" for point in points) else "stopped"

    def data(self) -> dict[str, Any]:
        return study_data(self.study, self.against)

    def sentences(self) -> list[str]:
        return [study_summary(self.study, self.against)]

    def warnings(self) -> Sequence[str]:
        return [*self.problem.warnings, *self.study.warnings, *self._held()]

    def _held(self) -> Sequence[str]:
        """That all is said of the usual degree, where some line of the study has reason to."""
        if not self.usual_degree or "degree" in self.study.names:
            return ()
        designs = (self.study.reference.design, *(one.design for one in self.study.points))
        each = (held_to_degree(one.problem, one.degree, usual=True) for one in designs)
        return next((held[-1:] for held in each if held), ())

    def tables(self) -> list[RenderableType | str]:
        return [study_table(self.study, self.against)]

    def data_tables(self) -> list[DataTable]:
        return [study_rows(self.study, self.against)]

    def figure(self) -> Figure:
        from .figure import draw_study

        return draw_study(self.study, self.against)
