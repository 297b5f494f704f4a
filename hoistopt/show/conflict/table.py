"""What cannot be kept together and what would help, as tables for a terminal."""

from __future__ import annotations

from collections import Counter

from rich.table import Table
from rich.text import Text

from ...base.numbers.decimals import per_cent, told
from ...conflict import UnsatisfiableSubset
from ...conflict.demands import Demand
from ...conflict.relaxation import Change, Relaxation
from ..tables.counting import counted_kinds
from ..tables.terminal import add_figures, add_names, new_table
from .data import WITHOUT

MANY, OF_A_KIND = 10, 4
"""With more rows than the first, those of a kind are told in one, if more than the second."""


def subset_table(subset: UnsatisfiableSubset) -> Table:
    """Demands that conflict, and what there is without each of them."""
    table = new_table("These cannot be kept together")
    add_names(table, "Asked for")
    table.add_column("Without it", no_wrap=True)
    pairs = list(zip(subset.demands, subset.without, strict=True))
    alike = Counter((demand.kind, necessary) for demand, necessary in pairs)
    told_of: set[tuple[str, bool | None]] = set()
    for demand, necessary in pairs:
        key = (demand.kind, necessary)
        if len(pairs) <= MANY or alike[key] <= OF_A_KIND:
            table.add_row(Text(demand.words), WITHOUT[necessary])
        elif key not in told_of:
            told_of.add(key)
            words = (
                f"{counted_kinds([demand.kind] * alike[key])}: {_where(demand, pairs, necessary)}"
            )
            table.add_row(Text(words), f"{WITHOUT[necessary]} (each)")
    return table


def _where(
    like: Demand, pairs: list[tuple[Demand, bool | None]], necessary: bool | None, most: int = 3
) -> str:
    """The first few of those of a kind, in short."""
    named = [
        demand.words.removeprefix("the ").removeprefix("hoist's time for the move ")
        for demand, needed in pairs
        if demand.kind == like.kind and needed is necessary
    ]
    return "; ".join(named[:most]) + ("; ..." if len(named) > most else "")


def relaxation_table(relaxation: Relaxation, unit: str) -> Table:
    """Changes, limit by limit."""
    if relaxation.aim == "share":
        aim, doubt = "Smallest changes in sum, each by what it may give", " (perhaps not smallest)"
    else:
        aim, doubt = "Fewest changes", " (perhaps not the fewest)"
    shown = "" if relaxation.status == "least" else doubt
    cycle = ""
    if relaxation.schedule is not None:
        reached = told(relaxation.schedule.time(relaxation.schedule.cycle))
        cycle = f": a cycle of {reached} {unit}"
    table = new_table(f"{aim}{shown}{cycle}; times in {unit}")
    add_names(table, "Limit")
    add_figures(table, "Today", "Then", "By", "May go to", "Used of it")
    for change in relaxation.changes:
        table.add_row(*_row(change))
    return table


def _row(change: Change) -> list[str | Text]:
    limit = change.limit
    far = "no end" if limit.far is None else f"{limit.far:f}{'' if limit.said else ' *'}"
    share = f"{per_cent(change.share, places=0)} %"
    return [
        Text(limit.name),
        f"{change.old:f}",
        f"{change.new:f}",
        f"{change.by:f}",
        far,
        share,
    ]
