"""The answers of `why`, `levers` and `conflict` as tables for a terminal."""

from __future__ import annotations

from fractions import Fraction

from rich import box
from rich.table import Table
from rich.text import Text

from ..analysis.levers.answer import Lever, Levers
from ..analysis.why.held import Holding
from ..conflict.remedy import Remedy
from ..conflict.subset import Conflict
from ..graph.wording import told


def _table(title: str) -> Table:
    return Table(title=title, box=box.SIMPLE_HEAD, title_justify="left", title_style="bold")


def holding_table(holding: Holding) -> Table:
    """The circuit, piece by piece, with the running sum."""
    table = _table(
        f"What holds the cycle at {told(holding.least)} {holding.unit}, times in {holding.unit}"
    )
    for name in ("Begins", "Time", "Sum"):
        table.add_column(name, justify="right", no_wrap=True)
    table.add_column("What", overflow="fold")
    total = Fraction(0)
    cycle = holding.schedule.time(holding.schedule.cycle)
    for piece in holding.pieces:
        total += piece.time
        begins = told(piece.begins % cycle)
        table.add_row(begins, told(piece.time), told(total), Text(piece.words))
    return table


def conflict_table(conflict: Conflict) -> Table:
    """The members of a conflict and whether each is needed for it."""
    table = _table("These cannot be kept together")
    table.add_column("Asked for", overflow="fold")
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
    table = _table(f"{aim}{'' if remedy.status == 'least' else doubt}, times in {unit}")
    table.add_column("Stage", overflow="fold")
    table.add_column("Limit")
    for name in ("Today", "Then", "By"):
        table.add_column(name, justify="right", no_wrap=True)
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


def lever_table(found: Levers) -> Table:
    """The levers that pay, or may, or do harm; the best first."""
    table = _table(f"What would change the cycle time, times in {found.unit}")
    table.add_column("Change", overflow="fold")
    for name in ("Cycle", "Shorter by"):
        table.add_column(name, justify="right", no_wrap=True)
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
