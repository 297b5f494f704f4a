"""What holds a cycle time, as an answer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ...analysis.why.held import Holding
from ...problem import Problem
from ..answer import Answer
from ..drawing.axes import figure_of
from ..tables.data_table import DataTable
from .data import holding_tables, why_data

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from rich.console import RenderableType


@dataclass(frozen=True)
class WhyAnswer(Answer):
    """The chain of times that adds up to a cycle time.

    Attributes
    ----------
    holding : Holding
    status : str
        Of the schedule asked about: "verified" where it was given, else the solver's.
    """

    problem: Problem
    holding: Holding
    status: str

    def data(self) -> dict[str, Any]:
        return {"problem": self.problem.name, **why_data(self.holding), "cautions": self.cautions()}

    def sentences(self) -> list[str]:
        found = self.holding.remarks()
        if self.status == "feasible":
            found.append(
                "The cycle time is not proved to be the least; another order may be quicker."
            )
        return found

    def tables(self) -> list[RenderableType | str]:
        from .table import holding_table

        return [self.holding.summary(), "", holding_table(self.holding)]

    def data_tables(self) -> list[DataTable]:
        return holding_tables(self.holding)

    def figure(self) -> Figure:
        from .figure import draw_holding

        return figure_of(draw_holding(self.problem, self.holding))
