"""A table of moves as rows: comments and header found, cells by column, numbers as meant."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from operator import and_

from ..base.errors import InputError
from ..base.separated import POINT_OR_SEMICOLON, exact_cell, no_slips, rows_of, separator
from ..problem import Problem
from .raw_move import COUNTS, LONGEST, MOST_MOVES

REQUIRED = ("start", "from", "to")
TRAVEL = "travel_to"
KNOWN = (*REQUIRED, "recipe", *COUNTS, "cycle_time", "hoist", TRAVEL)
"""Columns that are read; others are ignored."""
_WITH_UNIT = re.compile(r"(.+?)\s*[\[(]\s*(ms|s|min|h)\s*[\])]")
_WAY_OUT = (
    "The first row names the columns: start, from, to; also recipe, load, stage, boundaries, "
    "cycle_time where known."
)


@dataclass(frozen=True)
class Row:
    """A row below the header: its cells by column, and how numbers in them are written."""

    number: int
    cells: Mapping[str, str]
    decimal_comma: bool
    unit: str
    full: bool = True

    def place(self, column: str) -> str:
        return f'row {self.number}, column "{column}"'

    def number_in(self, column: str) -> Decimal:
        """The number in a cell, exactly."""
        return number_of(self.cells[column], self.place(column), self.decimal_comma)

    def time_in(self, column: str) -> Decimal:
        """The time in a cell: a number of units, or a duration turned into them."""
        return number_of(self.cells[column], self.place(column), self.decimal_comma, self.unit)


def table_of(text: str, problem: Problem, timed: bool) -> tuple[dict[int, str], list[Row]]:
    """Comments above the header, and the rows below it."""
    if "\0" in text:
        raise InputError("a text file")
    comments, body, skipped = split_comments(text)
    if not body.strip():
        raise InputError("a header row and at least one move", way_out=_WAY_OUT)
    header = body.split("\n", 1)[0]
    delimiter = separator(header, lambda cell: _without_unit(_plain(cell), problem.unit) in KNOWN)
    rows = list(_rows(body, delimiter, skipped, problem.unit, timed))
    if not rows:
        raise InputError("at least one move below the header row")
    for row in rows:
        _no_split_decimals(row, problem)
    return comments, rows


def split_comments(text: str) -> tuple[dict[int, str], str, int]:
    """Leading comment lines by number, the rest, and how many lines came before it."""
    comments: dict[int, str] = {}
    lines = io.StringIO(text, newline=None).read().split("\n")
    for number, line in enumerate(lines):
        # Spreadsheets put quotes around a comment and empty cells after it.
        bare = line.strip(" \t,;\"'")
        if bare.startswith("#") and not _looks_like_header(bare):
            comments[number + 1] = bare
        elif bare:
            return comments, "\n".join(lines[number:]), number
    return comments, "", len(lines)


def _looks_like_header(line: str) -> bool:
    # "#" may also head a column of step numbers.
    return {"from", "to"} <= {cell.strip(' "') for cell in re.split(r"[,;\t]", line.lower())}


def _plain(cell: str) -> str:
    return cell.strip().lower().replace(" ", "_")


def _without_unit(name: str, unit: str) -> str:
    """A header without the problem's unit after it; another unit stays, to be refused."""
    found = _WITH_UNIT.fullmatch(name)
    return found[1].rstrip("_") if found and found[2] == unit else name


def _header(cells: list[str], number: int, unit: str, timed: bool) -> list[str]:
    names: list[str] = []
    for cell in cells:
        plain = _plain(cell)
        name = _without_unit(plain, unit)
        found = _WITH_UNIT.fullmatch(name)
        if found and found[1].rstrip("_") in KNOWN:
            raise InputError(
                f'times in the unit of the problem, "{unit}"',
                field=f"row {number}, header",
                value=cell.strip(),
                way_out="Convert the column, then correct its header.",
            )
        if name and name in names:
            raise InputError("each column once", field=f"row {number}, header", value=cell.strip())
        names.append(name)
    no_slips(names, KNOWN, f"row {number}, header")
    for needed in REQUIRED:
        if needed not in names and (timed or needed != "start"):
            raise InputError(
                f'a column "{needed}"', field=f"row {number}, header", way_out=_WAY_OUT
            )
    return names


def _rows(body: str, delimiter: str, skipped: int, unit: str, timed: bool) -> Iterator[Row]:
    names: list[str] | None = None
    for number, cells in rows_of(body, delimiter, MOST_MOVES + 1, skipped):
        if names is None:
            names = _header(cells, number, unit, timed)
            continue
        if any(cell.strip() for cell in cells[len(names) :]):
            raise InputError(
                f"at most {len(names)} cells, as in the header",
                field=f"row {number}",
                value=f"{len(cells)} cells",
                way_out=_too_many(cells, delimiter),
            )
        padded = [cell.strip() for cell in cells] + [""] * len(names)
        found = {name: cell for name, cell in zip(names, padded, strict=False) if name in KNOWN}
        yield Row(number, found, delimiter != ",", unit, len(cells) >= len(names))


def _too_many(cells: list[str], delimiter: str) -> str:
    """The way out where a row has more cells than the header."""
    whole = [cell.strip().lstrip("+-").isdecimal() for cell in cells]
    if delimiter == "," and any(map(and_, whole, whole[1:])):
        return POINT_OR_SEMICOLON
    return "Put quotes around a name that holds the separator."


def number_of(text: str, field: str, decimal_comma: bool, unit: str | None = None) -> Decimal:
    return exact_cell(text, field, decimal_comma=decimal_comma, largest=LONGEST, unit=unit)


def _no_split_decimals(row: Row, problem: Problem) -> None:
    """Refuse ``12,5,Dip,...`` in a table with commas, which has 5 for the station.

    Raises
    ------
    InputError
        When a whole number stands where a station should, and no station is called so.
    """
    source = row.cells["from"]
    if row.decimal_comma or not row.cells.get("start"):
        return
    # A split row has a cell more than it should: one that is numbered may have none missing.
    known = source in problem.station_by_name or (
        row.full and problem.station_called(source) != source
    )
    if source.isdecimal() and not known:
        raise InputError(
            "a station of this line, by its name or by the number that the file gives it",
            field=row.place("from"),
            value=source,
            way_out=POINT_OR_SEMICOLON,
        )
