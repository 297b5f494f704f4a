"""What the answers about a curve of cycle times have in common."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...analysis.robust.tradeoff import Tradeoff
from ...analysis.robust.window import WindowCurve
from ...planning.best_degree.candidates import held_to_degree
from ...problem import Problem
from ..answer import Answer, Outcome


@dataclass(frozen=True)
class CurveAnswer(Answer):
    """A curve that begins at the least cycle time; without points there is no schedule.

    Attributes
    ----------
    found : Tradeoff or WindowCurve
    usual_degree : bool
        Whether nobody asked for the degree.
    chosen_degree : bool
        Whether the file of the cycle handed in states that its degree was chosen.
    """

    found: Tradeoff | WindowCurve
    usual_degree: bool = False
    chosen_degree: bool = False

    @property
    def problem(self) -> Problem:  # type: ignore[override]
        """The line."""
        return self.found.problem

    @property
    def outcome(self) -> Outcome:  # type: ignore[override]
        """Whether there is a schedule at all."""
        if self.found.points:
            return "done"
        return "no" if self.found.shortest.status == "infeasible" else "stopped"

    @property
    def degree(self) -> int:
        """Sets of loads per cycle."""
        return self.found.shortest.degree

    def warnings(self) -> Sequence[str]:
        if self.chosen_degree:
            return super().warnings()
        held = held_to_degree(self.problem, self.degree, usual=self.usual_degree)
        return [*super().warnings(), *held]
