"""What slack costs in cycle time, as an answer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ...analysis.figures.steps import tick_of
from ...analysis.robust.tradeoff import Tradeoff
from ..schedule.words import outcome
from ..tables.data_table import DataTable
from .curve import CurveAnswer
from .table import (
    MEASURES,
    reading,
    tradeoff_data,
    tradeoff_rows,
    tradeoff_summary,
    tradeoff_table,
)

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from rich.console import RenderableType


@dataclass(frozen=True)
class TradeoffAnswer(CurveAnswer):
    """The curve of the least cycle time for each slack."""

    found: Tradeoff

    def data(self) -> dict[str, Any]:
        return tradeoff_data(self.found)

    def sentences(self) -> list[str]:
        if not self.found.points:
            return [outcome(self.problem, self.found.shortest)]
        return [tradeoff_summary(self.found)]

    def tables(self) -> list[RenderableType | str]:
        if not self.found.points:
            return []
        return [tradeoff_table(self.found), MEASURES[self.found.measure], reading(self.found)]

    def data_tables(self) -> list[DataTable]:
        return [tradeoff_rows(self.found)] if self.found.points else []

    def figure(self) -> Figure | None:
        from .panels import Spot, draw_panels

        if not self.found.points:
            return None
        spots = [
            Spot(point.forgives, tick_of(point.schedule), point.proven)
            for point in self.found.points
        ]
        what = f"each point: most {self.found.measure} at its cycle time, degree {self.degree}"
        return draw_panels(self.problem, spots, what)
