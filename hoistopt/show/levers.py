"""What would shorten the cycle: as data, as a table, in words."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from ..analysis.levers.answer import Lever, Levers
from ..base.decimals import told
from ..base.text import listed
from ..problem import Problem
from .answer import Answer, Outcome
from .tables.jsonfile import json_number
from .tables.terminal import add_figures, add_names, new_table


@dataclass(frozen=True)
class LeversAnswer(Answer):
    """The changes of a line that shorten its cycle, the best first."""

    problem: Problem
    found: Levers

    @property
    def outcome(self) -> Outcome:  # type: ignore[override]
        """Whether the line has a cycle time to shorten."""
        if self.found.cycle_time is not None:
            return "done"
        return "no" if self.found.status == "infeasible" else "stopped"

    def data(self) -> dict[str, Any]:
        return {
            "problem": self.problem.name,
            **levers_data(self.found),
            "cautions": self.cautions(),
        }

    def tables(self) -> list[RenderableType | str]:
        return [] if all(map(idle, self.found.levers)) else [lever_table(self.found)]

    def sentences(self) -> list[str]:
        found = self.found
        if found.cycle_time is None:
            return [found.sentence()]
        told_of = [found.sentence()]
        without = [lever.pull.words for lever in found.levers if idle(lever)]
        if without:
            told_of.append(f"Proved to gain nothing: {listed(without)}.")
        open_ended = [lever for lever in found.levers if not lever.proven]
        if open_ended:
            told_of.append(
                f"Not settled when the search stopped after {found.runtime:.0f} s: "
                f"{len(open_ended)} of the changes. More time may settle them."
            )
        best = next((x for x in found.levers if x.gain_least), None)
        if best is not None and best.gain_least is not None and best.gain_least > 0:
            gain = f"{told(best.gain_least)} {self.problem.unit}"
            told_of.append(f"Most is gained by: {best.pull.words}, {gain}.")
        return [*told_of, "A window may only be changed by those who answer for the process."]


def levers_data(found: Levers) -> dict[str, Any]:
    """All of them for JSON, times in the problem's unit."""
    return {
        "status": found.status,
        "degree": found.degree,
        "unit": found.unit,
        "cycle_time": json_number(found.cycle_time),
        "lower_bound": json_number(found.bound),
        "reason": found.reason,
        "runtime": round(found.runtime, 3),
        "levers": [
            {
                "kind": lever.pull.kind,
                "words": lever.pull.words,
                "recipe": lever.pull.recipe or None,
                "stage": lever.pull.stage or None,
                "station": lever.pull.station or None,
                "old": json_number(lever.pull.old),
                "new": json_number(lever.pull.new),
                "cycle_time": json_number(lever.cycle_time),
                "gain_at_least": json_number(lever.gain_least),
                "gain_at_most": json_number(lever.gain_most),
                "proved": lever.proven,
                "how": lever.how,
            }
            for lever in found.levers
        ],
    }


def lever_table(found: Levers) -> Table:
    """The levers that pay, or may, or do harm; the best first."""
    table = new_table(f"What would change the cycle time, times in {found.unit}")
    add_names(table, "Change")
    add_figures(table, "Cycle", "Shorter by")
    table.add_column("Known by")
    for lever in found.levers:
        if not idle(lever):
            cycle = "-" if lever.cycle_time is None else told(lever.cycle_time)
            table.add_row(Text(lever.pull.words), cycle, _gain(lever), _HOW[lever.how])
    return table


_HOW = {
    "bound": "bound",
    "group": "search, with others",
    "search": "search",
    "stopped": "stopped, not settled",
    "none": "search",
}


def idle(lever: Lever) -> bool:
    """Whether a lever is proved to change nothing."""
    return lever.proven and lever.gain_least == 0


def _gain(lever: Lever) -> str:
    if lever.how == "none":
        return "no schedule"
    least, most = lever.gain_least, lever.gain_most
    if least == most and least is not None:
        return told(least)
    if least is None:
        return "unknown" if most is None else f"up to {told(most)}"
    return f"{told(least)} to {told(most or Fraction(0))}"
