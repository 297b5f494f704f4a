"""What cannot be kept together and what would help, as an answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from rich.console import RenderableType

from ...conflict import Conflict
from ...planning.idle import idle_at_degree
from ...problem import Problem
from ..answer import Answer, Outcome
from ..tables.data_table import DataTable
from .data import conflict_data, conflict_table
from .table import relaxation_table, subset_table


@dataclass(frozen=True)
class ConflictAnswer(Answer):
    """Why there is no schedule, or none so quick, and which limits would have to give."""

    problem: Problem
    found: Conflict

    @property
    def outcome(self) -> Outcome:  # type: ignore[override]
        """Whether there is a schedule after all."""
        outcomes: dict[str, Outcome] = {"possible": "done", "none": "no", "unknown": "stopped"}
        return outcomes[self.found.status]

    def warnings(self) -> Sequence[str]:
        return [*super().warnings(), *idle_at_degree(self.problem, self.found.degree)]

    def data(self) -> dict[str, Any]:
        return {
            "problem": self.problem.name,
            **conflict_data(self.found),
            "cautions": self.cautions(),
        }

    def sentences(self) -> list[str]:
        told_of = self.found.sentences()
        changes = [c for one in self.found.distinct_relaxations() for c in one.changes]
        if any(not change.limit.said for change in changes):
            told_of.append(
                "* Not from the problem: may_give_min and may_give_max of a stage say it."
            )
        if changes:
            told_of.append("A limit may only be changed by those who answer for the process.")
        return told_of

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
