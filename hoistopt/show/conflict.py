"""What cannot be kept together and what would help: as data, as tables, in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from ..conflict.impasse import Impasse
from ..conflict.remedy import Remedy
from ..conflict.subset import Conflict
from ..problem import Problem
from .answer import Answer, Outcome
from .tables.terminal import add_figures, add_names, new_table


@dataclass(frozen=True)
class ConflictAnswer(Answer):
    """Why there is no schedule, or none so quick, and which windows would have to give."""

    problem: Problem
    found: Impasse

    @property
    def outcome(self) -> Outcome:  # type: ignore[override]
        """Whether there is a schedule after all."""
        outcomes: dict[str, Outcome] = {"possible": "done", "none": "no", "unknown": "stopped"}
        return outcomes[self.found.status]

    def data(self) -> dict[str, Any]:
        return {"problem": self.problem.name, **self.found.to_data(), "cautions": self.cautions()}

    def sentences(self) -> list[str]:
        return self.found.sentences()

    def tables(self) -> list[RenderableType | str]:
        found = self.found
        if found.status != "none":
            return []
        tables: list[RenderableType | str] = []
        if found.conflict is not None and found.conflict.members:
            tables.append(conflict_table(found.conflict))
        return [*tables, *(remedy_table(each, found.unit) for each in found.distinct_remedies())]


def conflict_table(conflict: Conflict) -> Table:
    """The members of a conflict and whether each is needed for it."""
    table = new_table("These cannot be kept together")
    add_names(table, "Asked for")
    table.add_column("Without it", no_wrap=True)
    words = {True: "possible", False: "still not", None: "not settled"}
    for member, necessary in zip(conflict.members, conflict.necessary, strict=True):
        table.add_row(Text(member.words), words[necessary])
    return table


def remedy_table(remedy: Remedy, unit: str) -> Table:
    """Changes of windows, limit by limit."""
    if remedy.aim == "total":
        aim, doubt = "Smallest changes in sum", " (perhaps not the smallest)"
    else:
        aim, doubt = "Fewest windows to change", " (perhaps not the fewest)"
    table = new_table(f"{aim}{'' if remedy.status == 'least' else doubt}, times in {unit}")
    add_names(table, "Stage")
    table.add_column("Limit")
    add_figures(table, "Today", "Then", "By")
    several = len({change.recipe for change in remedy.changes}) > 1
    words = {"min": "minimum", "max": "maximum"}
    for change in remedy.changes:
        whose = f" of {change.recipe}" if several else ""
        table.add_row(
            Text(f"{change.stage}. {change.label}{whose}"),
            words[change.limit],
            f"{change.old:f}",
            f"{change.new:f}",
            f"{change.by:f}",
        )
    return table
