"""What a sheet of a workbook holds, as plain data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

MOST_ROWS = 200_000
"""Rows of a sheet that are read: more than a table of times between 300 stations has."""
MOST_TEXT = 32_000
"""Characters in a cell that is written; spreadsheets cut a text off at 32,767."""
MOST_COLUMNS = 250
"""Columns of a sheet that are looked at."""


@dataclass(frozen=True)
class Column:
    """One column of a sheet that is written.

    Attributes
    ----------
    head : str
        What stands in its header cell.
    note : str
        A comment on the header cell; none where empty.
    choices : sequence of str, or str
        What may stand below: a list, or a range of cells such as ``Stations!$A$2:$A$301``.
    strict : bool
        Whether the spreadsheet refuses anything else; else it warns.
    width : int or None
        In characters; None: as wide as what stands in it, within bounds.
    """

    head: str
    note: str = ""
    choices: Sequence[str] | str = ()
    strict: bool = True
    width: int | None = None


@dataclass(frozen=True)
class Sheet:
    """One sheet that is written.

    Attributes
    ----------
    name : str
        At most 31 characters, none of ``[]:*?/\\``.
    columns : sequence of Column
    rows : sequence of sequences
        Cells below the header: text, int, Decimal, Fraction, float or bool; None for an
        empty cell.
    marks : sequence of str
        Lines above the header.
    spare : int
        Empty rows below the table for which choices hold too.
    offers : mapping of int to sequence of str
        What may stand in single cells: by the row below the header, from 0, of the column
        `offered_in`, from 0.
    """

    name: str
    columns: Sequence[Column]
    rows: Sequence[Sequence[object]]
    marks: Sequence[str] = ()
    spare: int = 0
    offers: Mapping[int, Sequence[str]] = field(default_factory=dict)
    offered_in: int = 0
