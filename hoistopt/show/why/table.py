"""What holds a cycle time, as a table for a terminal."""

from __future__ import annotations

from fractions import Fraction

from rich.table import Table
from rich.text import Text

from ...analysis.why.held import Holding
from ...base.decimals import told
from ..tables.terminal import add_figures, add_names, new_table


def holding_table(holding: Holding) -> Table:
    """The circuit, piece by piece, with the running sum."""
    table = new_table(
        f"What holds the cycle at {told(holding.least)} {holding.unit}, times in {holding.unit}"
    )
    add_figures(table, "Begins", "Time", "Sum")
    add_names(table, "What")
    total = Fraction(0)
    cycle = holding.schedule.time(holding.schedule.cycle)
    for piece in holding.pieces:
        total += piece.time
        begins = told(piece.begins % cycle)
        table.add_row(begins, told(piece.time), told(total), Text(piece.words))
    return table
