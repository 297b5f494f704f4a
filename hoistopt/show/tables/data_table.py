"""A table of an answer as data: rows of numbers and text, for CSV and for a workbook."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ...base.cells import note_lines
from ...base.workbook.sheet import MOST_TEXT, Column, Sheet
from .csvfile import csv_text

MOST_ROWS = 100_000
"""Rows of a sheet; it takes a spreadsheet long to open more."""
CUT = " ... (cut; CSV and JSON have all of it)"


@dataclass(frozen=True)
class DataTable:
    """Rows of one kind, each with the same columns.

    Attributes
    ----------
    name : str
        Of its sheet in a workbook.
    header : sequence of str
        Names of the columns.
    rows : sequence of sequences
        A cell for each column: text, int, Decimal, Fraction or float; None for none.
    notes : sequence of str
        What has to be said of it, beside what the answer says.
    marks : sequence of str
        Lines above the header that a reader of the table goes by, such as ``programme``.
    units : mapping of str to str
        Unit of a column whose name does not say it.
    """

    name: str
    header: Sequence[str]
    rows: Sequence[Sequence[object]]
    notes: Sequence[str] = ()
    marks: Sequence[str] = ()
    units: Mapping[str, str] = field(default_factory=dict)

    def csv(self, cautions: Sequence[str], notes: Sequence[str] = ()) -> str:
        """As CSV below its marks, the cautions, then `notes` and its own."""
        text = csv_text(self.header, self.rows, cautions, [*notes, *self.notes])
        return note_lines(self.marks) + text

    def sheet(self) -> Sheet:
        """As a sheet of a workbook, units in its header; of very many rows the first."""
        heads = [f"{n} [{self.units[n]}]" if n in self.units else n for n in self.header]
        marks = [f"# {mark}" for mark in self.marks]
        if self.left_out:
            marks.append(f"# {self.left_out}")
        rows = [[held(cell) for cell in row] for row in self.rows[:MOST_ROWS]]
        return Sheet(self.name, [Column(head) for head in heads], rows, marks)

    @property
    def left_out(self) -> str:
        """What is said of rows that a sheet leaves out; empty where it has all."""
        if len(self.rows) <= MOST_ROWS:
            return ""
        return f"The first {MOST_ROWS} of {len(self.rows)} rows; CSV has them all."


def held(cell: object) -> object:
    """What a cell of a sheet holds: of a very long text the beginning."""
    if not isinstance(cell, str) or len(cell) <= MOST_TEXT:
        return cell
    return f"{cell[: MOST_TEXT - len(CUT)]}{CUT}"
