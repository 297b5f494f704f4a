"""A schedule under scattered times, as an answer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ...margin.jitter.answer import Jitter
from ...problem import Problem
from ..answer import Answer
from ..tables.data_table import DataTable
from .table import jitter_data, jitter_rows, jitter_summary, jitter_table

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from rich.console import RenderableType


@dataclass(frozen=True)
class JitterAnswer(Answer):
    """How many loads are over max. dwell, and the cycle time achieved."""

    found: Jitter

    @property
    def problem(self) -> Problem:  # type: ignore[override]
        """The line."""
        return self.found.problem

    def data(self) -> dict[str, Any]:
        return jitter_data(self.found)

    def sentences(self) -> list[str]:
        return [jitter_summary(self.found)]

    def tables(self) -> list[RenderableType | str]:
        return [jitter_table(self.found)]

    def data_tables(self) -> list[DataTable]:
        return [jitter_rows(self.found)]

    def figure(self) -> Figure:
        from .figure import draw_jitter

        return draw_jitter(self.found)
