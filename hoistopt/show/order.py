"""What a given order of moves can do: as data, as tables, in words, drawn."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from ..analysis.figures.report import Report, report
from ..analysis.order.answer import Ordered
from ..problem import Problem
from .answer import Answer, Outcome
from .schedule.answer import steps_of, timeway_of

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from rich.console import RenderableType


@dataclass(frozen=True)
class OrderAnswer(Answer):
    """The least cycle time of an order, or why it cannot run."""

    problem: Problem
    found: Ordered

    @property
    def outcome(self) -> Outcome:  # type: ignore[override]
        """Whether the order runs."""
        outcomes: dict[str, Outcome] = {"runs": "done", "cannot": "no", "unknown": "stopped"}
        return outcomes[self.found.status]

    @cached_property
    def report(self) -> Report | None:
        """Steps, dwells and figures of the order at its least cycle time."""
        found = self.found
        if found.schedule is None or found.replay is None:
            return None
        return report(self.problem, found.schedule, found.replay)

    def data(self) -> dict[str, Any]:
        return {"problem": self.problem.name, **self.found.to_data(), "cautions": self.cautions()}

    def sentences(self) -> list[str]:
        return self.found.sentences()

    def tables(self) -> list[RenderableType | str]:
        from .schedule.tables import dwell_table, step_table

        return [] if self.report is None else [step_table(self.report), dwell_table(self.report)]

    def csv(self) -> str | None:
        return None if self.report is None else steps_of(self.report)

    def figure(self) -> Figure | None:
        if self.report is None or self.found.replay is None:
            return None
        return timeway_of(self.problem, self.report.schedule, self.found.replay)

    def cautions(self) -> list[str]:
        return super().cautions() if self.report is None else self.report.cautions
