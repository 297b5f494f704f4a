"""What cannot be kept together and what would help: as data, as tables, in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from ..conflict import Conflict, UnsatisfiableSubset
from ..conflict.relaxation import Relaxation
from ..problem import Problem
from .answer import Answer, Outcome
from .tables.terminal import add_figures, add_names, new_table


@dataclass(frozen=True)
class ConflictAnswer(Answer):
    """Why there is no schedule, or none so quick, and which windows would have to give."""

    problem: Problem
    found: Conflict

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
        if found.subset is not None and found.subset.demands:
            tables.append(subset_table(found.subset))
        relaxations = found.distinct_relaxations()
        return [*tables, *(relaxation_table(each, found.unit) for each in relaxations)]


def subset_table(subset: UnsatisfiableSubset) -> Table:
    """Demands that conflict, and whether each is needed for that."""
    table = new_table("These cannot be kept together")
    add_names(table, "Asked for")
    table.add_column("Without it", no_wrap=True)
    words = {True: "possible", False: "still not", None: "not settled"}
    for demand, necessary in zip(subset.demands, subset.necessary, strict=True):
        table.add_row(Text(demand.words), words[necessary])
    return table


def relaxation_table(relaxation: Relaxation, unit: str) -> Table:
    """Changes of windows, limit by limit."""
    if relaxation.aim == "total":
        aim, doubt = "Smallest changes in sum", " (perhaps not the smallest)"
    else:
        aim, doubt = "Fewest windows to change", " (perhaps not the fewest)"
    table = new_table(f"{aim}{'' if relaxation.status == 'least' else doubt}, times in {unit}")
    add_names(table, "Stage")
    table.add_column("Limit")
    add_figures(table, "Today", "Then", "By")
    several = len({change.recipe for change in relaxation.changes}) > 1
    words = {"min": "minimum", "max": "maximum"}
    for change in relaxation.changes:
        whose = f" of {change.recipe}" if several else ""
        table.add_row(
            Text(f"{change.stage}. {change.label}{whose}"),
            words[change.limit],
            f"{change.old:f}",
            f"{change.new:f}",
            f"{change.by:f}",
        )
    return table
