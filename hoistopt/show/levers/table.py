"""Levers as a table for a terminal."""

from __future__ import annotations

from rich.table import Table
from rich.text import Text

from ...analysis.levers.answer import Lever, Levers, Threshold
from ...base.decimals import told
from ..tables.terminal import add_figures, add_names, new_table

MOST_ROWS = 25
"""More levers are left to the files."""


def shown_levers(found: Levers) -> list[Lever]:
    """Levers with a row of their own: those that gain, and those that might and were tried."""
    return [lever for lever in found.levers if lever.gain_least > 0][:MOST_ROWS]


def lever_table(found: Levers) -> Table:
    """The levers that pay, the best first."""
    table = new_table(f"What would shorten the cycle, times in {found.unit}")
    add_names(table, "Limit")
    add_figures(
        table, "Today", "Changed\nto", "Cycle", "Shorter\nby", "Loads/h\nmore", "Pays\nfrom"
    )
    for lever in shown_levers(found):
        table.add_row(*_row(found, lever))
    return table


def _row(found: Levers, lever: Lever) -> list[str | Text]:
    hoist = lever.limit.kind == "hoist"
    return [
        Text(lever.limit.name),
        "-" if hoist else f"{lever.limit.today:f}",
        f"-{lever.new:f} %" if hoist else f"{lever.new:f}",
        _between(told(lever.bound), told(lever.cycle_time), lever.proven),
        _between(told(lever.gain_least), told(lever.gain_most), lever.proven),
        _hourly(found, lever),
        _pays(lever.threshold),
    ]


def _between(low: str, high: str, proven: bool) -> str:
    """A value, or the two that it lies between where it is not settled."""
    return low if proven else f"{low} to {high}"


def _hourly(found: Levers, lever: Lever) -> str:
    least, most = map(found.gained_per_hour, (lever.gain_least, lever.gain_most))
    assert least is not None
    high = "any" if most is None else f"{float(most):.2f}"
    return _between(f"{float(least):.2f}", high, lever.proven)


def _pays(threshold: Threshold | None) -> str:
    if threshold is None:
        return "-"
    if threshold.pays is None:
        return "not known"
    return _between(f"{threshold.proved_idle:f}", f"{threshold.pays:f}", threshold.settled)
