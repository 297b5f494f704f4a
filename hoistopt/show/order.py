"""What a given order of moves can do: as data, as tables, in words, drawn."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from ..analysis.figures.cautions import IN_FULL, gain_speed
from ..analysis.figures.report import Report, report
from ..analysis.order.answer import Ordered
from ..analysis.order.deadlock import Deadlock
from ..problem import Problem
from ..schedule import schedule_to_data
from .answer import Answer, Outcome
from .schedule.answer import tables_of, timeway_of
from .tables.data_table import DataTable
from .tables.jsonfile import json_number

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
        return {"problem": self.problem.name, **order_data(self.found), "cautions": self.cautions()}

    def sentences(self) -> list[str]:
        return self.found.sentences()

    def tables(self) -> list[RenderableType | str]:
        from .schedule.tables import dwell_table, hoist_tables, step_table

        found = self.report
        return (
            [] if found is None else [step_table(found), *hoist_tables(found), dwell_table(found)]
        )

    def data_tables(self) -> list[DataTable]:
        return tables_of(self.report)

    def figure(self) -> Figure | None:
        if self.report is None or self.found.replay is None:
            return None
        return timeway_of(self.problem, self.report.schedule, self.found.replay)

    def cautions(self) -> list[str]:
        if self.report is None:
            return super().cautions()
        return [*([IN_FULL] if gain_speed(self.problem) else []), *self.report.cautions]


def order_data(found: Ordered) -> dict[str, Any]:
    """All of it for JSON, times in the problem's unit; the moves as a reader wants them."""
    return {
        "status": found.status,
        "degree": found.degree,
        "unit": found.unit,
        "cycle_time": json_number(found.cycle_time),
        "proved_least_of_order": found.exact,
        "best_cycle_time": json_number(found.best),
        "lower_bound": json_number(found.best_bound),
        "behind": json_number(found.behind),
        "sentences": found.sentences(),
        "faults": list(found.faults),
        "deadlock": None if found.deadlock is None else _deadlock_data(found.deadlock),
        "conflict": None
        if found.conflict is None
        else [demand.words for demand in found.conflict.demands],
        "moves": [] if found.schedule is None else schedule_to_data(found.schedule),
    }


def _deadlock_data(deadlock: Deadlock) -> dict[str, Any]:
    return {
        "kind": deadlock.kind,
        "sums": [
            {
                "asks": [{"words": w, "time": json_number(t)} for w, t in each.asks],
                "allows": [{"words": w, "time": json_number(t)} for w, t in each.allows],
                "cycles": each.cycles,
            }
            for each in deadlock.sums
        ],
    }
