"""A table of an answer as data: rows of numbers and text, for CSV and for a workbook."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ...base.cells import note_lines
from ...base.workbook.sheet import Column, Sheet
from .csvfile import csv_text


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
        """As a sheet of a workbook, units in its header."""
        heads = [f"{n} [{self.units[n]}]" if n in self.units else n for n in self.header]
        marks = [f"# {mark}" for mark in self.marks]
        return Sheet(self.name, [Column(head) for head in heads], self.rows, marks)
