"""A log against a plan, as an answer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ...plant.adherence.answer import Adherence
from ...problem import Problem
from ..answer import Answer
from ..tables.jsonfile import versions
from .table import (
    adherence_tables,
    cycle_rows,
    cycle_table,
    deviation_rows,
    deviation_table,
    step_rows,
    step_table,
)
from .words import adherence_sentences

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from rich.console import RenderableType

    from ..tables.data_table import DataTable

READING = (
    "By waiting: from the end of the move before to the start, more than planned; below 0, time "
    "that the plan had to spare was used to catch up. By the move: it took longer than planned."
)


@dataclass(frozen=True)
class AdherenceAnswer(Answer):
    """How a log keeps to a plan.

    Attributes
    ----------
    found : Adherence
    zone : str or None
        Time zone of the line, where the log or its mapping tells it.
    """

    found: Adherence
    zone: str | None = None

    @property
    def problem(self) -> Problem:  # type: ignore[override]
        """The line."""
        return self.found.problem

    def data(self) -> dict[str, Any]:
        found = self.found
        late = found.late[found.positions >= 0]
        return {
            "problem": found.problem.name,
            "unit": found.problem.unit,
            "planned_cycle_time": found.planned.cycle,
            "logged_moves": len(found.positions),
            "in_turn": int((found.positions >= 0).sum()),
            "late_at_end": float(late[-1]),
            "stops": int(found.stopped.sum()),
            "lost_in_stops": float(found.waited[found.stopped].sum()),
            "tolerance": found.tolerance,
            "steps": step_rows(found),
            "deviations": deviation_rows(found, self.zone),
            "cycles": cycle_rows(found, self.zone),
            "notes": list(found.notes),
            "cautions": self.cautions(),
            "versions": versions(),
        }

    def sentences(self) -> list[str]:
        return adherence_sentences(self.found, self.zone)

    def tables(self) -> list[RenderableType | str]:
        found: list[RenderableType | str] = [step_table(self.found)]
        found.append(READING)
        if self.found.deviations:
            found.append(deviation_table(self.found, self.zone))
        if len(self.found.cycles) > 1:
            found.append(cycle_table(self.found, self.zone))
        return found

    def data_tables(self) -> list[DataTable]:
        return adherence_tables(self.found, self.zone)

    def figure(self) -> Figure:
        from .figure import draw_adherence

        return draw_adherence(self.found, self.zone)
