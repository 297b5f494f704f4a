"""Read the sheets of a workbook as plain cells: no formula is worked out, no link followed."""

from __future__ import annotations

import datetime
import io
import re
import warnings
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from ..errors import InputError
from ..extras import library
from .package import EXTRA, PURPOSE, broken, package_bytes
from .sheet import MOST_COLUMNS, MOST_ROWS

# What a spreadsheet writes for a character that XML cannot carry, such as _x000D_.
_CODE = re.compile(r"_x([0-9A-Fa-f]{4})_")
SHOWN_DIGITS = 15
"""Significant digits of a number that a spreadsheet shows at most: what people take it for."""
_PASTE = "Copy the cell and paste it in place as a value."


@dataclass(frozen=True)
class Cell:
    """One cell that is not empty.

    Attributes
    ----------
    place : str
        Such as ``Stations!C7``.
    value : str, int, Decimal or bool
        A duration is text, such as ``90 s``.
    """

    place: str
    value: str | int | Decimal | bool

    @property
    def text(self) -> str:
        """As text: a number as people see it."""
        if isinstance(self.value, bool):
            return "yes" if self.value else "no"
        return f"{self.value:f}" if isinstance(self.value, Decimal) else str(self.value).strip()


@dataclass(frozen=True)
class Unusable:
    """A cell that cannot be taken for what it shows; told of only where it is needed.

    `date` is a date and time by ISO 8601, for a table that may hold one.
    """

    place: str
    expected: str
    value: object
    way_out: str
    date: str = ""

    def error(self) -> InputError:
        """The error that says why the cell cannot be used."""
        return InputError(self.expected, field=self.place, value=self.value, way_out=self.way_out)


Row = tuple[int, dict[int, Cell | Unusable]]


class ReadSheet:
    """One sheet: its rows that are not empty, each with its number and cells by column."""

    def __init__(self, name: str, rows: list[Row]) -> None:
        self.name = name
        self.rows = rows

    def place(self, row: int, column: int) -> str:
        """How a cell is called, both counted from 1."""
        return f"{self.name}!{_letters(column)}{row}"


def read_sheets(path: Path, names: Sequence[str]) -> dict[str, ReadSheet]:
    """Those of the named sheets that a workbook has.

    Sheets of other names belong to whoever keeps the workbook and are not read, unless one
    looks like a slip of the pen for a named one that is missing.

    Parameters
    ----------
    path : Path
    names : sequence of str
        Capitals do not count.

    Raises
    ------
    InputError
        When the file cannot be read as a workbook, or a sheet is larger than any table.
    """
    openpyxl = library("openpyxl", EXTRA, PURPOSE)
    content = package_bytes(path)
    wanted = {name.lower(): name for name in names}
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of parts that are left out, such as drawings
            book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, keep_links=False)
            found: dict[str, ReadSheet] = {}
            for sheet in book.worksheets:
                name = wanted.get(sheet.title.strip().lower())
                if name is not None and name not in found:
                    sheet.reset_dimensions()  # what the file says of its size is not relied on
                    found[name] = ReadSheet(name, list(_rows(sheet, name)))
            titles = [sheet.title for sheet in book.worksheets]
    except InputError as error:
        raise error.in_file(path) from None
    except Exception as error:  # a file made by anyone; the library has no error of its own
        raise broken(path, error) from None
    _no_slip(path, titles, [name for name in names if name not in found])
    return found


def sheet_names(path: Path) -> list[str]:
    """The names of all sheets of a workbook.

    Raises
    ------
    InputError
        When the file cannot be read as a workbook.
    """
    openpyxl = library("openpyxl", EXTRA, PURPOSE)
    content = package_bytes(path)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, keep_links=False)
        return [sheet.title for sheet in book.worksheets]
    except Exception as error:
        raise broken(path, error) from None


def _no_slip(path: Path, titles: Sequence[str], missing: Sequence[str]) -> None:
    for title in titles:
        for near in get_close_matches(title.strip().capitalize(), missing, n=1, cutoff=0.8):
            raise InputError(
                f'the sheet "{near}", and this one looks like it',
                file=path,
                field="sheet",
                value=title,
                way_out=f'Call it "{near}", or, if it is a sheet of your own, something else.',
            )


def _rows(sheet: Any, name: str) -> Iterator[Row]:
    rows = sheet.iter_rows(max_row=MOST_ROWS + 1, max_col=MOST_COLUMNS)
    for number, cells in enumerate(rows, start=1):
        read = {
            column: _cell(cell, f"{name}!{_letters(column)}{number}")
            for column, cell in enumerate(cells, start=1)
            if cell.value is not None and cell.value != ""
        }
        if read and number > MOST_ROWS:
            raise InputError(f"at most {MOST_ROWS} rows", field=f"sheet {name}")
        if read:
            yield number, read


def _cell(cell: Any, place: str) -> Cell | Unusable:
    value, kind = cell.value, cell.data_type
    if kind == "f":
        return Unusable(place, "a value, not a formula", _formula(value), _PASTE)
    if kind == "e":
        return Unusable(place, "a value, but the cell has an error", value, "Correct the cell.")
    if isinstance(value, bool):
        return Cell(place, value)
    if isinstance(value, int):
        return Cell(place, value)
    if isinstance(value, float):
        number = Decimal(f"{value:.{SHOWN_DIGITS}g}")
        return Cell(place, int(number) if number == int(number) else number)
    if isinstance(value, str):
        return Cell(place, _CODE.sub(lambda found: chr(int(found[1], 16)), value))
    if isinstance(value, datetime.timedelta | datetime.time):
        return _duration(value, cell.number_format, place)
    return Unusable(
        place,
        "a number or a duration, but the cell holds a date",
        value,
        "Give the cells the format Text, then write it again, such as 90 s or 0:01:30.",
        date=value.isoformat() if isinstance(value, datetime.datetime) else "",
    )


def _formula(value: object) -> object:
    return value if isinstance(value, str) else getattr(value, "text", "=")


def _duration(value: datetime.timedelta | datetime.time, form: str, place: str) -> Cell | Unusable:
    """A time cell as a duration, where it shows its seconds; else nobody knows what was meant.

    A spreadsheet makes hours and minutes of 1:30 as it is typed, while people write it for
    minutes and seconds too.
    """
    if isinstance(value, datetime.time):
        seconds = Decimal(value.hour * 3600 + value.minute * 60 + value.second)
        seconds += Decimal(value.microsecond) / 1_000_000
    else:
        seconds = Decimal(value.days * 86_400 + value.seconds)
        seconds += Decimal(value.microseconds) / 1_000_000
    plain = re.sub(r'"[^"]*"|\\.', "", form.lower())
    hours = "h" in plain
    if "s" not in plain or (not hours and seconds >= 3600):
        minutes, rest = divmod(int(seconds), 60)
        shown = f"{minutes // 60}:{minutes % 60:02d}:{rest:02d}"
        return Unusable(
            place,
            "a duration that can be read in one way only; the spreadsheet made hours and "
            f"minutes of it, {shown}",
            form,
            "Write it with hours, minutes and seconds, such as 0:01:30, or as text, such as "
            "90 s; or as a number in the unit of the line.",
        )
    return Cell(place, f"{seconds.normalize():f} s")


def _letters(column: int) -> str:
    text = ""
    while column:
        column, rest = divmod(column - 1, 26)
        text = chr(ord("A") + rest) + text
    return text
