"""The hoist's times as an answer: what was measured, what the file says, what would change."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ...base.workbook.package import is_workbook
from ...plant.fit.answer import Fit
from ...plant.fit.changes import changes_of
from ...problem import Problem
from ...problem.files.rewriting import changed_text
from ...problem.workbook.writing import problem_workbook
from ..answer import Answer
from .data import Cycles, fit_data, fit_tables
from .table import aside_table, figure_table, pair_table
from .words import fit_sentences

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from rich.console import RenderableType

    from ..tables.data_table import DataTable


@dataclass(frozen=True)
class FitAnswer(Answer):
    """The hoist's times by what was measured.

    Attributes
    ----------
    found : Fit
    changed : Problem
        The line with the fitted times.
    path : str, Path or None
        The file of the line.
    cycles : Cycles or None
        What that does to the cycle time, where it was asked for.
    """

    found: Fit
    changed: Problem
    path: str | Path | None = None
    cycles: Cycles | None = None

    @property
    def problem(self) -> Problem:  # type: ignore[override]
        """The line, as its file has it today."""
        return self.found.problem

    def data(self) -> dict[str, Any]:
        return fit_data(self.found, self.cycles, self.cautions())

    def sentences(self) -> list[str]:
        return fit_sentences(self.found, self.cycles)

    def tables(self) -> list[RenderableType | str]:
        found: list[RenderableType | str] = []
        if self.found.figures:
            found.append(figure_table(self.found))
        found.append(pair_table(self.found))
        if self.found.aside:
            found.append(aside_table(self.found))
        return found

    def data_tables(self) -> list[DataTable]:
        return fit_tables(self.found)

    def figure(self) -> Figure:
        from .figure import draw_fit

        return draw_fit(self.found)

    def file(self, path: str) -> str | bytes:
        """The problem file with the fitted times, its comments kept; or a workbook."""
        if is_workbook(path):
            return problem_workbook(self.changed)
        if self.path is None or is_workbook(self.path):
            return self.changed.to_toml()
        return changed_text(self.path, changes_of(self.found), path)
