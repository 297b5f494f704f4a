"""Levers as a table for a terminal."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from rich.table import Table
from rich.text import Text

from ...analysis.levers.answer import Lever, Levers
from ...base.numbers.decimals import told
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
        True: "Beyond that amount, shown where the gain begins",
    }
    tables = []
    for beyond, title in titles.items():
        levers = [lever for lever in shown_levers(found) if lever.beyond == beyond]
        if levers:
            tables.append(_table(found, levers, f"{title}, times in {found.unit}"))
    return tables


def _table(found: Levers, levers: Sequence[Lever], title: str) -> Table:
    """Limits as rows; what is not settled has columns of its own for how far it may go."""
    table = new_table(title)
    add_names(table, "Limit")
    columns = [(column, [column.cell(found, lever) for lever in levers]) for column in _COLUMNS]
    columns = [(column, cells) for column, cells in columns if not column.only_open or any(cells)]
    add_figures(table, *(column.head for column, _ in columns))
    for number, lever in enumerate(levers):
        row = (cells[number] or "-" for _, cells in columns)
        table.add_row(Text(lever.limit.name), *row)
    return table


@dataclass(frozen=True)
class _Column:
    """A column of figures: its head, and its cell for a lever; "" for none.

    With `only_open` it is left out where it has no cell.
    """

    head: str
    cell: Callable[[Levers, Lever], str]
    only_open: bool = False


def _figure(lever: Lever, value: Decimal) -> str:
    return f"-{value:f} %" if lever.limit.kind == "hoist" and value else f"{value:f}"


def _today(found: Levers, lever: Lever) -> str:
    return "" if lever.limit.kind == "hoist" else f"{lever.limit.today:f}"


def _hourly(found: Levers, lever: Lever) -> str:
    least = found.gained_per_hour(lever.gain_least)
    assert least is not None
    return f"{float(least):.2f}"


def _at_most(found: Levers, lever: Lever) -> str:
    """What the gain may be at most, where it is not known exactly."""
    return "" if lever.proven else told(lever.gain_most)


def _pays(found: Levers, lever: Lever) -> str:
    threshold = lever.threshold
    if threshold is None:
        return ""
    return "not known" if threshold.pays is None else _figure(lever, threshold.pays)


def _not_before(found: Levers, lever: Lever) -> str:
    """The figure before which no gain can begin, where it is not known where one does."""
    threshold = lever.threshold
    if threshold is None or threshold.settled or threshold.proved_idle is None:
        return ""
    return _figure(lever, threshold.proved_idle)


_COLUMNS = (
    _Column("Today", _today),
    _Column("Changed\nto", lambda found, lever: _figure(lever, lever.new)),
    _Column("Cycle", lambda found, lever: told(lever.cycle_time)),
    _Column("Shorter\nby", lambda found, lever: told(lever.gain_least)),
    _Column("Loads/h\nmore", _hourly),
    _Column("Shorter\nat most", _at_most, only_open=True),
    _Column("Pays\nfrom", _pays),
    _Column("Not\nbefore", _not_before, only_open=True),
)
