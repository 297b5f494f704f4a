"""What the answers about a curve of cycle times have in common."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...analysis.robust.tradeoff import Tradeoff
from ...analysis.robust.window import WindowCurve
from ...planning.idle import idle_at_degree
from ...problem import Problem
from ..answer import Answer, Outcome


@dataclass(frozen=True)
class CurveAnswer(Answer):
    """A curve that begins at the least cycle time; without points there is no schedule.

    Attributes
    ----------
    found : Tradeoff or WindowCurve
    """

    found: Tradeoff | WindowCurve

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
        return [*super().warnings(), *idle_at_degree(self.problem, self.degree)]
