"""The answer of a verification with a tolerance: a table that breaks rules, and times near it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from ...analysis.figures.steps import tick_of
from ...base.numbers.decimals import as_decimal, told
from ...base.text import counted
from ...checker.record import Replay
from ..tables.data_table import DataTable
from ..tables.jsonfile import json_number
from .answer import VerifiedAnswer
from .violations import violation_list, violation_table, violations_of_cycle

if TYPE_CHECKING:
    from rich.console import RenderableType


@dataclass(frozen=True)
class WithinAnswer(VerifiedAnswer):
    """A table that breaks rules as stated, though times within the tolerance keep them all.

    `replay` is that of those times, which the checker accepts.

    Attributes
    ----------
    stated : Replay
        What the checker saw of the table as stated; it breaks rules.
    tolerance, moved : Fraction
        What was forgiven each time; the most that any differs. In the problem's unit.
    """

    status: str = "verified within a tolerance"
    stated: Replay | None = None
    tolerance: Fraction = Fraction(0)
    moved: Fraction = Fraction(0)

    @property
    def _as_stated(self) -> Replay:
        assert self.stated is not None
        return self.stated

    def data(self) -> dict[str, Any]:
        seen = self._as_stated
        return {
            **super().data(),
            "status": "verified within a tolerance",
            "tolerance": json_number(as_decimal(self.tolerance, Fraction(1))),
            "moved": json_number(as_decimal(self.moved, Fraction(1))),
            "stated": {
                "cycle_time": json_number(as_decimal(seen.cycle_time, tick_of(seen.schedule))),
                "violations": violation_list(seen.violations, tick_of(seen.schedule)),
            },
        }

    def sentences(self) -> list[str]:
        unit, count = self.problem.unit, len(self._as_stated.violations)
        return [
            f"As stated the table is refused: {counted(count, 'violation')}.",
            f"Within the tolerance of {told(self.tolerance)} {unit} it is clean: with the same "
            f"order of moves, starts and a cycle time at most {told(self.moved)} {unit} from "
            f"those stated break no rule ({len(self.schedule)} moves replayed over "
            f"{self.replay.cycles} cycles). The tables and files of this answer hold those times.",
            *self.said,
        ]

    def tables(self) -> list[RenderableType | str]:
        from .tables import step_table

        seen = self._as_stated
        broken = violation_table(
            self.problem, seen.violations, seen.cycle_time, tick_of(seen.schedule)
        )
        return [broken, step_table(self.report), *super().tables()]

    def data_tables(self) -> list[DataTable]:
        seen = self._as_stated
        broken = violations_of_cycle(
            self.problem, seen.violations, seen.cycle_time, tick_of(seen.schedule)
        )
        return [*super().data_tables(), broken]

    def cautions(self) -> list[str]:
        return [
            "The times judged clean are not those of the table: what runs by the table as stated "
            "breaks the rules named above.",
            *super().cautions(),
        ]
