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
from .tables.jsonfile import json_number
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
        return {
            "problem": self.problem.name,
            **conflict_data(self.found),
            "cautions": self.cautions(),
        }

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


def conflict_data(found: Conflict) -> dict[str, Any]:
    """All of it for JSON, times in the problem's unit."""
    subset = found.subset
    return {
        "status": found.status,
        "degree": found.degree,
        "at_most": json_number(found.at_most),
        "unit": found.unit,
        "reason": found.reason,
        "sentence": None if subset is None else subset.sentence(),
        "members": []
        if subset is None
        else [
            {
                "kind": demand.kind,
                "words": demand.words,
                "recipe": demand.recipe or None,
                "stage": demand.stage if demand.recipe else None,
                "station": demand.station or None,
                "necessary": necessary,
            }
            for demand, necessary in zip(subset.demands, subset.necessary, strict=True)
        ],
        "minimal": None if subset is None else subset.minimal,
        "remedies": [_relaxation_data(one) for one in found.relaxations],
        "least_cycle_time": json_number(found.least),
        "least_proved": found.least_proven,
        "cycle_time": None if found.schedule is None else found.schedule.cycle_time,
    }


def _relaxation_data(one: Relaxation) -> dict[str, Any]:
    return {
        "status": one.status,
        "aim": one.aim,
        "total": json_number(one.total),
        "changes": [
            {
                "recipe": change.recipe,
                "stage": change.stage,
                "label": change.label,
                "limit": change.limit,
                "old": json_number(change.old),
                "new": json_number(change.new),
            }
            for change in one.changes
        ],
        "cycle_time": None if one.schedule is None else one.schedule.cycle_time,
    }


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
