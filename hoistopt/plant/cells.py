"""The cells of a log: rows of text under the columns that are wanted, with their line numbers."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..base.errors import InputError
from ..base.extras import library
from .mapping import NEEDED, Column, LogMapping, together

if TYPE_CHECKING:
    import polars as pl

SEPARATORS = (",", ";", "\t", "|")
NAMES = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
MOST_COLUMNS = 1000
_LOOKED_AT = 200
"""Rows at the beginning of a file among which its header is looked for."""
_BLANKS = 20
"""Blanks between separators with which a row still counts as empty."""


@dataclass(frozen=True)
class Cells:
    """What a file has under the columns that were wanted.

    Attributes
    ----------
    frame : polars.DataFrame
        A column of text for each of the log's columns that is there, and `line`, the number
        of the row in the file, from 1. `bad` says why a row is none, and is null where it is.
    dialect : str
        How the file is written, in words.
    """

    frame: pl.DataFrame
    dialect: str


def cells_of(text: str, mapping: LogMapping) -> Cells:
    """Cut the text of a log into rows and cells, as RFC 4180 has them.

    Whichever of comma, semicolon, tab and bar makes the most wanted columns known separates
    the cells. Rows above the header are passed over. A cell in quotes may hold separators;
    one that goes on in the next line is told as unreadable.

    Raises
    ------
    InputError
        When there is no header with the columns that are needed, or there are no rows.
    """
    pl = library("polars", "log", "to read logs")
    lines = text.split("\n", _LOOKED_AT)[:_LOOKED_AT]
    above, separator, header = _header(lines, mapping)
    places = places_of(header, mapping)
    rows = pl.DataFrame({"row": [text]}).select(pl.col("row").str.split("\n").explode())
    rows = rows.with_columns(line=pl.int_range(1, pl.len() + 1, dtype=pl.UInt32)).slice(above)
    short = rows.get_column("row").str.len_bytes() < len(header) + _BLANKS
    blank = rows.get_column("row").filter(short).str.strip_chars(" \t" + separator) == ""
    if blank.any():
        empty = rows.filter(short).filter(blank).get_column("line")
        rows = rows.filter(~pl.col("line").is_in(empty.implode()))
    frame = _cut(rows, separator, len(header), places)
    return Cells(frame, f"{NAMES[separator]} between cells")


def _header(lines: Sequence[str], mapping: LogMapping) -> tuple[int, str, list[str]]:
    """Lines up to and with the header, what separates cells, and the names in it."""
    if not mapping.header:
        first = next((line for line in lines if line.strip()), "")
        wanted = max(part for key in NEEDED for part in mapping.columns[key] if part)
        best = max(SEPARATORS, key=lambda sign: (first.count(sign), sign == ";"))
        cells = _cells(first, best)
        if len(cells) < int(wanted):
            raise InputError(f"at least {wanted} columns", field="row 1", value=first)
        return 0, best, [str(number + 1) for number in range(len(cells))]
    best_seen: tuple[int, str, list[str]] = (0, ",", [])
    for number, line in enumerate(lines):
        if line.count(";") + line.count(",") + line.count("\t") + line.count("|") > MOST_COLUMNS:
            raise InputError(
                f"a table of at most {MOST_COLUMNS} columns", field=f"row {number + 1}"
            )
        for separator in SEPARATORS:
            cells = _cells(line, separator)
            found = [key for key in NEEDED if _found(mapping.columns[key], cells) is not None]
            if len(found) == len(NEEDED):
                return number + 1, separator, cells
            if len(found) > best_seen[0]:
                best_seen = (len(found), separator, cells)
    missing = next(key for key in NEEDED if _found(mapping.columns[key], best_seen[2]) is None)
    named = " ".join(str(part) for part in mapping.columns[missing])
    first = next((line for line in lines if line.strip()), "")
    raise InputError(
        f"a column {named} with the {missing} of each event",
        field="header",
        value=" | ".join(best_seen[2]) or first or "an empty file",
        way_out="Say which column it is, under [columns] or with --column "
        f"{missing}=NAME; a number counts columns from 1.",
    )


def _cells(line: str, separator: str) -> list[str]:
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=separator), [])]
    except csv.Error:
        return []


def _found(column: Column, header: Sequence[str]) -> list[int] | None:
    """Places of the columns that make a value, from 0; None where one is not there.

    A name with a plus, such as ``Date+Time``, that no column has means those columns together.
    """
    lower = [cell.lower() for cell in header]
    places: list[int] = []
    for part in column:
        name = part if isinstance(part, int) else part.strip().lower()
        if isinstance(name, int):
            if name > len(header):
                return None
            places.append(name - 1)
        elif name in lower:
            places.append(lower.index(name))
        else:
            parts = _found(together(name), header) if "+" in name else None
            if parts is None:
                return None
            places += parts
    return places


def places_of(header: Sequence[str], mapping: LogMapping) -> dict[str, list[int]]:
    found: dict[str, list[int]] = {}
    for key, column in mapping.columns.items():
        places = _found(column, header)
        if places is not None:
            _once(header, places, column)
            found[key] = places
        elif key in mapping.asked:
            raise InputError(
                f"a column {' '.join(map(str, column))} with the {key}",
                field="header",
                value=" | ".join(header),
            )
    return found


def _once(header: Sequence[str], places: Sequence[int], column: Column) -> None:
    """Refuse a column that is given by a name which stands twice in the header."""
    lower = [cell.lower() for cell in header]
    for place in places:
        numbered = place + 1 in column or str(place + 1) in "+".join(map(str, column)).split("+")
        if lower.count(lower[place]) > 1 and not numbered:
            raise InputError(
                "each column once",
                field="header",
                value=header[place],
                way_out="Rename one, or say which is meant by its number, from 1.",
            )


def _cut(
    rows: pl.DataFrame, separator: str, width: int, places: dict[str, list[int]]
) -> pl.DataFrame:
    """The wanted cells of each row."""
    import polars as pl

    quoted = rows.get_column("row").str.contains('"', literal=True)
    if not quoted.any():
        return _selected(_split(rows, separator, width), places)
    # Where quotes stand around whole cells only, and no separator between them, they mean nothing.
    cell = f'("[^"{separator}]*"|[^"{separator}]*)'
    plain = ~quoted | rows.get_column("row").str.contains(f"^{cell}([{separator}]{cell})*$")
    easy, hard = rows.filter(plain), rows.filter(~plain)
    unquoted = pl.col("row").str.replace_all('"', "", literal=True)
    cut = _split(easy.with_columns(unquoted), separator, width)
    if len(hard):
        cut = pl.concat([cut, _by_hand(hard, separator, width)], how="diagonal").sort("line")
    return _selected(cut, places)


def _split(rows: pl.DataFrame, separator: str, width: int) -> pl.DataFrame:
    """Cells of rows without quotes, a column each, named by its number from 0."""
    import polars as pl

    cut = rows.with_columns(pl.col("row").str.splitn(separator, width + 1)).unnest("row")
    cut = cut.rename({name: name.removeprefix("field_") for name in cut.columns})
    more = pl.col(f"{width}").str.strip_chars(f" {separator}") != ""
    return cut.with_columns(
        bad=pl.when(more).then(pl.lit("more cells than the header has")).otherwise(None)
    )


def _selected(cut: pl.DataFrame, places: dict[str, list[int]]) -> pl.DataFrame:
    return cut.select("line", "bad", **{key: _joined(found) for key, found in places.items()})


def _joined(places: Sequence[int]) -> pl.Expr:
    """The cells at these places, trimmed, with a space between them."""
    import polars as pl

    parts = [pl.col(f"{place}").str.strip_chars() for place in places]
    return parts[0] if len(parts) == 1 else pl.concat_str(parts, separator=" ")


def _by_hand(rows: pl.DataFrame, separator: str, width: int) -> pl.DataFrame:
    """Rows in which quotes matter, one by one."""
    import polars as pl

    cells: list[list[str | None]] = []
    bad: list[str | None] = []
    for row in rows.get_column("row"):
        why = None
        try:
            found = next(csv.reader([row], delimiter=separator, strict=True), [])
        except csv.Error:
            found, why = [], "quotes that are closed in the same row"
        if len(found) > width:
            why = "more cells than the header has"
        cells.append([*found[:width], *[None] * (width - len(found))])
        bad.append(why)
    schema = {f"{number}": pl.String for number in range(width)}
    return pl.DataFrame(cells, schema=schema, orient="row").with_columns(
        line=rows.get_column("line"), bad=pl.Series(bad, dtype=pl.String)
    )
