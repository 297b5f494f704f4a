"""What would shorten the cycle, as a table for a terminal."""

from __future__ import annotations

from fractions import Fraction

from rich.table import Table
from rich.text import Text

from ..analysis.levers.answer import Lever, Levers
from ..base.decimals import told
from .tables.terminal import add_figures, add_names, new_table


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
