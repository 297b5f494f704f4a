"""What holds a cycle time, as a table for a terminal."""

from __future__ import annotations

from itertools import accumulate

from rich.table import Table
from rich.text import Text

from ...analysis.figures.steps import tick_of
from ...analysis.why.held import Holding
from ...base.numbers.decimals import aligned, as_decimal, told
from ..tables.terminal import add_figures, add_names, new_table


def holding_table(holding: Holding) -> Table:
    """The circuit, piece by piece, with the running sum."""
    unit, tick = holding.unit, tick_of(holding.schedule)
    table = new_table(f"What holds the cycle at {told(holding.least)} {unit}, piece by piece")
    add_figures(table, "Start", "Time", "Sum", unit=unit)
    add_names(table, "What")
    cycle = holding.schedule.time(holding.schedule.cycle)
    times = [piece.time for piece in holding.pieces]
    columns = (
        [piece.begins % cycle for piece in holding.pieces],
        times,
        list(accumulate(times)),
    )
    cells = (aligned([as_decimal(time, tick) for time in column]) for column in columns)
    for piece, *figures in zip(holding.pieces, *cells, strict=True):
        table.add_row(*figures, Text(piece.words))
    return table
