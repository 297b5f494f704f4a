"""What cannot be kept together and what would help, as an answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from rich.console import RenderableType

from ...base.numbers.decimals import significant, told
from ...base.text import listed, plural
from ...conflict import Conflict
from ...planning.best_degree.candidates import held_to_degree
from ...problem import Problem
from ..answer import Answer, Outcome
from ..tables.data_table import DataTable
from .data import conflict_data, conflict_table
from .table import relaxation_table, subset_table


@dataclass(frozen=True)
class ConflictAnswer(Answer):
    """Why there is no schedule, or none so quick, and which limits would have to give.

    Attributes
    ----------
    usual_degree : bool
        Whether nobody asked for the degree.
    """

    problem: Problem
    found: Conflict
    usual_degree: bool = False

    @property
    def outcome(self) -> Outcome:  # type: ignore[override]
        """Whether there is a schedule after all."""
        outcomes: dict[str, Outcome] = {"possible": "done", "none": "no", "unknown": "stopped"}
        return outcomes[self.found.status]

    def warnings(self) -> Sequence[str]:
        found = self.found
        usual = self.usual_degree and found.others is None  # else sentences tell of others
        return [*super().warnings(), *held_to_degree(self.problem, found.degree, usual=usual)]

    def data(self) -> dict[str, Any]:
        return {
            "problem": self.problem.name,
            **conflict_data(self.found),
            "cautions": self.cautions(),
        }

    def sentences(self) -> list[str]:
        if (found := self.found).others is not None and found.degree != 1:
            return self._reached()
        told_of = found.sentences()
        told_of[1:1] = self._others_in_vain()
        changes = [c for one in self.found.distinct_relaxations() for c in one.changes]
        if any(not change.limit.said for change in changes):
            told_of.append(
                "* Not from the problem: may_give_min and may_give_max of a stage say it."
            )
        if changes:
            told_of.append("A limit may only be changed by those who answer for the process.")
        return told_of

    def _reached(self) -> list[str]:
        """Which degree keeps the wish with no change, and what to type."""
        found = self.found
        assert found.schedule is not None
        cycle = found.schedule.time(found.schedule.cycle)
        per_load = cycle / (found.degree * len(self.problem.load_set))
        hourly = 3600 / (per_load * Fraction(self.problem.seconds_per_unit))
        unit, option = found.unit, f"--degree {found.degree}"
        return [
            f"Degree {found.degree} reaches this pace with no limit changed ({option}): "
            f"{significant(hourly, 4)} loads/h, {significant(per_load, 6)} {unit} a load, in a "
            f"cycle of {told(cycle)} {unit}.",
            f"`hoistopt solve` with {option} finds its least cycle time; `hoistopt conflict` with "
            "--degree 1 tells what would have to change at degree 1.",
        ]

    def _others_in_vain(self) -> list[str]:
        """That no other degree keeps the wish, as far as was seen."""
        others = self.found.others
        if others is None or self.found.status == "possible":
            return []
        if not others.looked_at:
            return ["There was no time to look at other degrees, which may reach this pace."]
        looked_at = listed([str(degree) for degree in others.looked_at])
        later = others.not_reached
        had = f"{plural(len(later), 'Degree')} {listed([str(degree) for degree in later])} had"
        left = [f"{had} no turn in the time given, and may reach it."] if later else []
        if others.proved:
            return [f"No other degree looked at ({looked_at}) reaches this pace: proved.", *left]
        return [
            f"In the time given no other degree looked at ({looked_at}) was found to reach this "
            "pace; more (--time-limit) may find one.",
            *left,
        ]

    def tables(self) -> list[RenderableType | str]:
        found = self.found
        if found.status != "none":
            return []
        tables: list[RenderableType | str] = []
        if found.subset is not None and found.subset.demands:
            tables.append(subset_table(found.subset))
        relaxations = found.distinct_relaxations()
        return [*tables, *(relaxation_table(each, found.unit) for each in relaxations)]

    def data_tables(self) -> list[DataTable]:
        return [conflict_table(self.found)]
