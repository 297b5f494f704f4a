"""What slack costs in cycle time, as an answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ...analysis.figures.steps import tick_of
from ...analysis.idle import idle_at_degree
from ...analysis.robust.tradeoff import TradeOff
from ...problem import Problem
from ..answer import Answer, Outcome
from ..drawing.axes import figure_of
from ..schedule.words import outcome
from .table import MEASURES, reading, tradeoff_csv, tradeoff_data, tradeoff_summary, tradeoff_table

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from rich.console import RenderableType


@dataclass(frozen=True)
class TradeOffAnswer(Answer):
    """The curve of the least cycle time for each slack."""

    found: TradeOff

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

    def warnings(self) -> Sequence[str]:
        degree = self.found.shortest.degree
        return [*super().warnings(), *idle_at_degree(self.problem, degree)]

    def data(self) -> dict[str, Any]:
        return tradeoff_data(self.found)

    def sentences(self) -> list[str]:
        if not self.found.points:
            return [outcome(self.problem, self.found.shortest)]
        return [tradeoff_summary(self.found)]

    def tables(self) -> list[RenderableType | str]:
        if not self.found.points:
            return []
        read = [MEASURES[self.found.measure], reading(self.found)]
        return [tradeoff_table(self.found), *filter(None, read)]

    def csv(self) -> str | None:
        return tradeoff_csv(self.found) if self.found.points else None

    def figure(self) -> Figure | None:
        from .figure import draw_tradeoff
        from .panels import Spot, draw_panels

        if not self.found.points:
            return None
        spots = [
            Spot(point.forgives, tick_of(point.schedule), point.proven)
            for point in self.found.points
            if point.forgives is not None
        ]
        if not spots:
            return figure_of(draw_tradeoff(self.found))
        degree = self.found.shortest.degree
        what = f"each point: most {self.found.measure} at its cycle time, degree {degree}"
        return draw_panels(self.problem, spots, what)
