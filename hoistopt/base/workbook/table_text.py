"""A sheet as the text of a CSV table, row for row, for whoever reads tables in CSV."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from ..cells import guarded
from ..errors import InputError
from ..text import read_text
from .package import is_workbook
from .reading import Cell, ReadSheet, Unusable, read_sheets, sheet_names

_ROW = re.compile(r'row (\d+)(?:, column "([^"]*)"|, header|, (\w+))?')
MOST_TEXT_ROWS = 20_000
"""Rows of a sheet that is read as a table in CSV."""


def table_text(
    path: Path, sheets: Sequence[str], *, dates: bool = False, most: int = MOST_TEXT_ROWS
) -> str:
    """The text of a table: of a text file as it is, of a workbook one of its sheets as CSV.

    Rows of the sheet keep their numbers. Numbers are the shortest decimals that the cells
    stand for, durations are text such as ``90 s``.

    Parameters
    ----------
    path : Path
    sheets : sequence of str
        Names of the sheets that may hold it; the first that is there is taken. A workbook
        with a single sheet may call it as it likes.
    dates : bool
        Whether a cell may hold a date; it is text by ISO 8601 then.
    most : int
        Rows that a sheet may have.

    Raises
    ------
    InputError
        When the file cannot be read, no sheet is there, or a cell has a formula.
    """
    if not is_workbook(path):
        return read_text(path)
    sheet = _sheet(path, sheets)
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    reached = 0
    for number, cells in sheet.rows:
        if number > most:
            raise InputError(f"at most {most} rows", field=f"sheet {sheet.name}", file=path)
        stream.write("\n" * (number - reached - 1))
        reached = number
        places = range(1, max(cells) + 1)
        writer.writerow([_text(cells.get(place), path, dates) for place in places])
    return stream.getvalue()


def _sheet(path: Path, names: Sequence[str]) -> ReadSheet:
    there = sheet_names(path)
    wanted = [there[0]] if len(there) == 1 else list(names)
    found = read_sheets(path, wanted)
    # An empty form beside a table that is filled in is not meant.
    filled = [name for name in wanted if name in found and len(found[name].rows) > 1]
    for name in (*filled, *found):
        return found[name]
    quoted = " or ".join(f'"{name}"' for name in names)
    raise InputError(
        f"a sheet {quoted}",
        file=path,
        value=", ".join(there),
        way_out="Call the sheet that holds the table so.",
    )


def _text(cell: Cell | Unusable | None, path: Path, dates: bool) -> str:
    if cell is None:
        return ""
    if isinstance(cell, Unusable) and dates and cell.date:
        return cell.date
    if isinstance(cell, Unusable):
        raise cell.error().in_file(path)
    # A table has a row a line; its readers undo the guard.
    text = " ".join(cell.text.split("\n"))
    return guarded(text) if isinstance(cell.value, str) else text


@contextmanager
def naming_sheet_cells(path: Path, sheets: Sequence[str]) -> Iterator[None]:
    """Let an error about a row of a table name the file and, of a workbook, the cell."""
    try:
        yield
    except InputError as error:
        if error.file is None and error.field is not None and is_workbook(path):
            error.field = _named(error.field, path, sheets)
        raise error.in_file(path) from None


def _named(field: str, path: Path, sheets: Sequence[str]) -> str:
    found = _ROW.match(field)
    if found is None:
        return field
    sheet, row = _sheet(path, sheets), int(found[1])
    wanted = _plain(found[2] or found[3] or "")
    for _, cells in sheet.rows:
        for column, cell in cells.items():
            if wanted and isinstance(cell, Cell) and _plain(cell.text) == wanted:
                return f"{sheet.place(row, column)} ({field})"
    return f"{sheet.name}, {field}"


def _plain(head: str) -> str:
    bare = re.sub(r"\s*[\[(].*", "", head.strip().lower())
    return bare.replace(" ", "_")
