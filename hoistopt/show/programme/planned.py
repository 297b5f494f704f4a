"""A programme that was planned, or that there is none, as an answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ...analysis.figures.cautions import (
    IN_FULL_JOINING,
    IN_FULL_LOST,
    IN_FULL_ONCE,
    gain_speed,
)
from ...base.numbers.decimals import as_float, told
from ...planning.plan_result import Plan
from ...problem import Problem
from ..answer import Answer, Outcome
from ..tables.data_table import DataTable
from ..tables.jsonfile import versions
from .cautions import cautions
from .conflicting import conflict_data, conflict_tables, conflict_words
from .files import hoists_beside, load_times, programme_data, programme_moves
from .joined import joined_words, outs_words
from .orders import order_data, orders_table
from .recovered import recovery_data, recovery_words
from .rows import LoadRow, load_rows

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from rich.console import RenderableType


@dataclass(frozen=True)
class PlannedAnswer(Answer):
    """What planning came to.

    Attributes
    ----------
    plan : Plan
    loads_out : int
        Which load's time out is told beside that of the first, where it ends in a cycle.
    """

    problem: Problem
    plan: Plan
    loads_out: int = 1

    @property
    def outcome(self) -> Outcome:  # type: ignore[override]
        """Whether there is a programme, or proof that there is none."""
        if self.plan.replay is not None:
            return "done"
        return "no" if self.plan.status == "infeasible" else "stopped"

    def data(self) -> dict[str, Any]:
        plan = self.plan
        head = {
            "problem": self.problem.name,
            "status": plan.status,
            "finish": plan.finish,
            "lower_bound": plan.lower_bound,
            "gap": as_float(plan.gap, 6),
            "lateness": plan.lateness,
            "least_lateness": plan.least_lateness,
            "unit": self.problem.unit,
            "runtime": round(plan.runtime, 3),
            "reason": plan.reason,
            "in_step": plan.in_step,
            "changeover_time": plan.changeover_time,
            "least_changeover_time": plan.least_changeover_time,
            "promised": list(plan.promised),
            "recovery": recovery_data(plan.recovery),
            "conflict": conflict_data(plan.conflict),
            "recoverable": plan.recoverable,
        }
        if plan.replay is None:
            return {
                **head,
                "repeats": None,
                "moves": [],
                "loads": [],
                "cautions": self.standing(),
                "versions": versions(),
            }
        found = programme_data(plan.replay, plan.status)
        for row in found["loads"]:
            row["order"] = plan.orders.get(row["load"]) or None
        found["orders"] = order_data(plan)
        return {**found, **head, "cautions": self.cautions()}

    def sentences(self) -> list[str]:
        plan, unit = self.plan, self.problem.unit
        if plan.replay is None:
            return [plan.summary(), *conflict_words(plan)]
        if plan.at_once:
            return self._beside(load_rows(plan.replay))
        if plan.in_step is not None:
            return [
                *recovery_words(self.problem, plan.recovery),
                *joined_words(self.problem, plan),
                *self._late(),
                *self._promised(),
                outs_words(self.problem, plan, self.loads_out),
            ]
        done = f"All is done at {_told(plan.finish)} {unit}"
        if plan.status == "optimal":
            proof = "proved to be the earliest"
            if plan.lateness is not None:
                proof = "proved to be the earliest of those as little late"
        else:
            proof = (
                f"not proved to be the earliest: the bound is {_told(plan.lower_bound)} {unit}, "
                f"a gap of {plan.gap:.1%}"
            )
        found = recovery_words(self.problem, plan.recovery)
        found.append(f"{done}, {proof}.")
        return [*found, *self._late(), *self._promised()]

    def _late(self) -> list[str]:
        """How late orders are, and what is known of the least; nothing without due times."""
        plan, unit = self.plan, self.problem.unit
        if plan.lateness is None:
            return []
        least = (
            ""
            if plan.least_lateness == plan.lateness
            else f"; the bound is {_told(plan.least_lateness)} {unit}"
        )
        return [f"Weighted lateness {_told(plan.lateness)} {unit}{least}."]

    def _promised(self) -> list[str]:
        if not self.plan.promised:
            return []
        return ["Nothing that is promised was moved.", *self._travels_anew()]

    def _travels_anew(self) -> list[str]:
        """Of several hoists, that they give way otherwise than what is promised may say."""
        if len(self.problem.hoists) == 1:
            return []
        return [
            "How the hoists give way is planned anew: the travels here take the place of those "
            "promised."
        ]

    def _beside(self, rows: list[LoadRow]) -> list[str]:
        """What is told of loads that were placed beside others."""
        unit = self.problem.unit
        placed = [row for row in rows if row.load not in self.plan.promised]
        told_of = [
            f"Load {row.load} ({row.recipe}) can be lifted at {row.entered:f} {unit} and is out "
            f"at {row.out:f} {unit}."
            for row in placed
            if row.entered is not None and row.out is not None
        ]
        return [
            *told_of,
            "Nothing that is promised was moved; the first of them could not be "
            "out earlier beside it.",
            *self._travels_anew(),
        ]

    def tables(self) -> Sequence[RenderableType | str]:
        from .tables import hoist_tables, move_table

        seen = self.plan.replay
        if seen is None:
            return self.short_tables()
        return [move_table(seen), *hoist_tables(seen), *self.short_tables()]

    def short_tables(self) -> Sequence[RenderableType | str]:
        from .lost import overstay_table
        from .orders import order_table
        from .tables import load_table

        seen = self.plan.replay
        if seen is None:
            return conflict_tables(self.plan.conflict)
        over = [overstay_table(seen)] if seen.overstays else []
        ordered = [order_table(self.plan)] if self.plan.orders else []
        return [*over, *ordered, load_table(seen)]

    def data_tables(self) -> list[DataTable]:
        seen = self.plan.replay
        if seen is None:
            return []
        plan = self.plan
        moves, loads = programme_moves(seen, plan.orders), load_times(seen, plan.orders)
        return [moves, loads, *orders_table(plan), *hoists_beside(seen)]

    def figure(self) -> Figure | None:
        from .figure import draw_programme

        return None if self.plan.replay is None else draw_programme(self.plan.replay)

    def cautions(self) -> list[str]:
        if self.plan.replay is None:
            return super().cautions()
        found = []
        if self.plan.status == "feasible" and not self.plan.at_once:
            what = "finish" if self.plan.in_step is None else "joining of the cycle"
            found.append(f"Not proved to be the earliest {what}: a better programme may exist.")
        if gain_speed(self.problem):
            found.append(IN_FULL_ONCE if self.plan.in_step is None else IN_FULL_JOINING)
            found += [IN_FULL_LOST] if self.plan.recovery and self.plan.recovery.lost else []
        return [*found, *cautions(self.plan.replay)]


def _told(value: int | float | None) -> str:
    return "unknown" if value is None else told(value)
