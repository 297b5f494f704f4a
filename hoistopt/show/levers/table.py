"""Levers as a table for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from rich.table import Table
from rich.text import Text

from ...analysis.levers.answer import Lever, Levers, Threshold
from ...base.decimals import told
from ..tables.terminal import add_figures, add_names, new_table

MOST_ROWS = 25
"""More levers are left to the files."""


def shown_levers(found: Levers) -> list[Lever]:
    """Levers with a row of their own: the best of those that gain."""
    return [lever for lever in found.levers if lever.gain_least > 0][:MOST_ROWS]


def lever_tables(found: Levers) -> list[Table]:
    """Levers that gain, the best first: by the amount asked for, and only beyond it."""
    titles = {
        False: "What would shorten the cycle",
        True: "What would shorten it only beyond that amount, shown where the gain begins",
    }
    tables = []
    for beyond, title in titles.items():
        levers = [lever for lever in shown_levers(found) if lever.beyond == beyond]
        if levers:
            tables.append(_table(found, levers, f"{title}, times in {found.unit}"))
    return tables


def _table(found: Levers, levers: Sequence[Lever], title: str) -> Table:
    table = new_table(title)
    add_names(table, "Limit")
    add_figures(table, "Today", "Changed\nto", "Cycle", "Shorter\nby", "Loads/h\nmore")
    add_figures(table, "Pays\nfrom")
    for lever in levers:
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
