"""Two schedules side by side, as an answer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ...analysis.compare.comparison import Comparison
from ...problem import Problem
from ..answer import Answer
from ..tables.data_table import DataTable
from .data import comparison_data
from .rows import comparison_tables
from .table import tables, verdict

if TYPE_CHECKING:
    from rich.console import RenderableType


@dataclass(frozen=True)
class ComparisonAnswer(Answer):
    """What a change did to order, tanks, dwells and output."""

    comparison: Comparison

    @property
    def problem(self) -> Problem:  # type: ignore[override]
        """The line after the change."""
        return self.comparison.after.problem

    def data(self) -> dict[str, Any]:
        return comparison_data(self.comparison)

    def sentences(self) -> list[str]:
        sides = {"before": self.comparison.before, "after": self.comparison.after}
        names = [name for name, side in sides.items() if side.status == "feasible"]
        unproved = f"Not proved to be the least cycle time: {' and '.join(names)}."
        return [verdict(self.comparison), *([unproved] if names else [])]

    def tables(self) -> list[RenderableType | str]:
        return [tables(self.comparison)]

    def data_tables(self) -> list[DataTable]:
        return comparison_tables(self.comparison)
