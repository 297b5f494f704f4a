"""Tables kept as separated text: what separates the cells, the rows, and the numbers in them."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterator, Sequence
from decimal import Decimal, InvalidOperation
from difflib import get_close_matches

from .errors import InputError
from .numbers.duration import duration
from .numbers.exact import exact_number

MOST_COLUMNS = 1000
SEPARATORS = (",", ";", "\t")
POINT_OR_SEMICOLON = (
    "In a table with commas between the cells decimals take a point, 12.5; for a decimal comma, "
    "12,5, put semicolons between the cells."
)
"""The way out where a comma may have been meant for a decimal one."""


def separator(header: str, known: Callable[[str], bool]) -> str:
    """What separates the cells of a table: comma, semicolon or tab.

    Parameters
    ----------
    header : str
        Its first row.
    known : callable
        Whether a cell is one that a header of this kind has. The separator that makes
        the most of them known is the one; among equals the one that makes more cells.

    Raises
    ------
    InputError
        When the row has more than `MOST_COLUMNS` cells.
    """

    def fitting(delimiter: str) -> tuple[int, int]:
        try:
            cells = next(csv.reader([header], delimiter=delimiter))
        except (csv.Error, StopIteration):
            return 0, 0
        return sum(known(cell) for cell in cells), len(cells)

    if max(header.count(delimiter) for delimiter in SEPARATORS) >= MOST_COLUMNS:
        raise InputError(f"a table of at most {MOST_COLUMNS} columns")
    return max(SEPARATORS, key=fitting)


def rows_of(
    text: str, delimiter: str, most: int, skipped: int = 0, *, strict: bool = False
) -> Iterator[tuple[int, list[str]]]:
    """The rows of a table that are not empty, each with its number in the file, from 1.

    Parameters
    ----------
    text : str
        The table.
    delimiter : str
        What separates its cells.
    most : int
        Rows that it may have.
    skipped : int
        Lines of the file before `text`.
    strict : bool
        Whether quotes must be where they belong.

    Raises
    ------
    InputError
        When it is no table, or has more rows or a wider one.
    """
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=strict)
    found = 0
    while True:
        number = skipped + reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise InputError(f"a CSV file ({error})", field=f"row {number}") from None
        if len(cells) > MOST_COLUMNS:
            raise InputError(
                f"at most {MOST_COLUMNS} cells", field=f"row {number}", value=f"{len(cells)} cells"
            )
        if not any(cell.strip() for cell in cells):
            continue
        found += 1
        if found > most:
            raise InputError(f"at most {most} rows", field=f"row {number}")
        yield number, cells


def exact_cell(
    text: str,
    field: str,
    *,
    decimal_comma: bool,
    largest: Decimal,
    unit: str | None = None,
    of_day: bool = False,
) -> Decimal:
    """The number in a cell, exactly.

    Parameters
    ----------
    text : str
        Such as ``12.5``; ``12,5`` where `decimal_comma` says so.
    field : str
        Where it stands, for the error.
    decimal_comma : bool
        Whether a comma may mark decimals, as it does not separate the cells.
    largest : Decimal
        The greatest number accepted.
    unit : str, optional
        Where the cell holds a time, the unit it is counted in: a duration such as
        ``25 min`` is a number too then.
    of_day : bool
        Whether a time of day could be meant as well.

    Raises
    ------
    InputError
        When it is no number, or one that could be read in two ways.
    """
    plain = text.strip()
    if decimal_comma and re.fullmatch(r"[+-]?\d+,\d+", plain):
        if re.fullmatch(r"[+-]?[1-9]\d{0,2},\d{3}", plain):
            raise InputError(
                "a number that can be read in one way only",
                field=field,
                value=plain,
                way_out="Use a point for decimals and nothing between thousands.",
            )
        plain = plain.replace(",", ".")
    try:
        # Decimal() would take "1_000" too, which no table means.
        number = Decimal("?" if "_" in plain else plain)
    except InvalidOperation:
        if unit is not None and re.search(r"[A-Za-z:]", plain):
            return _duration_in(plain, field, unit, largest, of_day=of_day)
        comma = not decimal_comma and re.fullmatch(r"[+-]?\d+,\d+", plain)
        raise InputError(
            "a number", field=field, value=text, way_out=POINT_OR_SEMICOLON if comma else None
        ) from None
    try:
        return exact_number(number, largest)
    except ValueError as error:
        raise InputError(str(error), field=field, value=text) from None


def _duration_in(text: str, field: str, unit: str, largest: Decimal, *, of_day: bool) -> Decimal:
    try:
        return duration(text).in_unit(unit, largest, of_day=of_day)
    except ValueError as error:
        raise InputError(str(error), field=field, value=text) from None


def no_slips(names: Sequence[str], known: Sequence[str], field: str) -> None:
    """Refuse a header that is nearly one that is read and not there, and would be ignored.

    Parameters
    ----------
    names : sequence of str
        The headers of a table.
    known : sequence of str
        Those that are read.
    field : str
        Where the headers stand.

    Raises
    ------
    InputError
    """
    lacking = [name for name in known if name not in names]
    for name in names:
        near = [] if name in known else get_close_matches(name, lacking, n=1, cutoff=0.85)
        if near:
            raise InputError(
                "a column that is read, or a name that is none like it",
                field=field,
                value=name,
                way_out=f'Did you mean "{near[0]}"? Else call the column something else.',
            )
