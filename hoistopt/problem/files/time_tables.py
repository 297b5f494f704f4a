"""Read tables of times kept in files beside the problem file: a matrix, or a list."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Set
from decimal import Decimal
from pathlib import Path
from typing import Any

from ...base.errors import InputError, naming_file
from ...base.numbers.exact import LARGEST
from ...base.separated import exact_cell, rows_of, separator
from ...base.text import read_text
from ..line import MOST_STATIONS

LIST = ("from", "to", "time")
MOST_ROWS = MOST_STATIONS * MOST_STATIONS + 1
_UNIT = re.compile(r"(time)\s*[\[(]\s*(ms|s|min|h)\s*[\])]")

Row = tuple[int, list[str]]


def read_times(
    path: Path,
    stations: Set[str] = frozenset(),
    unit: str = "s",
    numbers: Mapping[str, str] | None = None,
) -> list[dict[str, Any]]:
    """Read a table of times between stations.

    Commas, semicolons or tabs may separate the cells; with the latter two a comma may mark
    decimals. The table is a list, with columns "from", "to" and "time" in any order, or a
    matrix: the header row names the stations gone to, the first column those come from,
    and an empty cell has no time. The header of a list may repeat the unit: "time [s]".

    Parameters
    ----------
    path : Path
        The file.
    stations : set of str
        Names the line knows; left empty, names are not looked at.
    unit : str
        The problem's unit of time.
    numbers : mapping of str to str, optional
        Names of stations by their numbers, by which the table may name them too.

    Returns
    -------
    list of dict
        Keys ``from``, ``to`` and ``time`` (a Decimal).

    Raises
    ------
    InputError
        One error naming the file, the row and the column.
    """
    with naming_file(path):
        called = {word: name for word, name in (numbers or {}).items() if word not in stations}
        found = _entries(read_text(path), {*stations, *called} if stations else stations, unit)
        return _each_pair_once(
            {**entry, **{key: called.get(entry[key], entry[key]) for key in ("from", "to")}}
            for entry in found
        )


def _each_pair_once(entries: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    """The entries, if none is there by name and by number as well."""
    found: dict[tuple[str, str], dict[str, Any]] = {}
    for entry in entries:
        pair = entry["from"], entry["to"]
        if pair in found:
            raise InputError("each pair of stations once", value=" to ".join(pair))
        found[pair] = entry
    return list(found.values())


def _entries(text: str, stations: Set[str], unit: str) -> Iterator[dict[str, Any]]:
    first = next((line for line in text.splitlines() if line.strip(" ,;\t")), "")
    delimiter = separator(first, lambda cell: cell.strip() in stations or _plain(cell) in LIST)
    rows = list(rows_of(text, delimiter, MOST_ROWS))
    if len(rows) < 2 or len(rows[0][1]) < 2:
        raise InputError(
            "a header row and at least one row of times",
            way_out='A matrix has "from" down its first column and "to" along its header; '
            "a list has the columns from, to, time.",
        )
    names = [_plain(cell) for cell in rows[0][1]]
    if {"from", "to"} <= set(names):
        yield from _from_list(names, rows, stations, unit, decimal_comma=delimiter != ",")
    else:
        yield from _from_matrix(rows, stations, unit, decimal_comma=delimiter != ",")


def _plain(cell: str) -> str:
    plain = cell.strip().lower()
    found = _UNIT.fullmatch(plain)
    return found[1] if found else plain


def _from_list(
    names: list[str], rows: list[Row], stations: Set[str], unit: str, *, decimal_comma: bool
) -> Iterator[dict[str, Any]]:
    header = f"row {rows[0][0]}, header"
    for needed in LIST:
        if names.count(needed) != 1:
            raise InputError(
                f'one column "{needed}"', field=header, way_out="A list has from, to, time."
            )
    stated = _UNIT.fullmatch(rows[0][1][names.index("time")].strip().lower())
    if stated and stated[2] != unit:
        raise InputError(
            f'times in the unit of the problem, "{unit}"',
            field=header,
            value=stated[0],
            way_out="Convert the column, then correct its header.",
        )
    places = [names.index(name) for name in LIST]
    seen: dict[tuple[str, str], int] = {}
    for number, cells in rows[1:]:
        _as_wide(number, cells, len(names))
        start, end, time = (cells[place].strip() for place in places)
        for column, name in (("from", start), ("to", end)):
            _known(name, f'row {number}, column "{column}"', stations)
        if (start, end) in seen:
            raise InputError(
                "each pair of stations once",
                field=f"row {number}",
                value=f"{start} to {end}",
                way_out=f"Row {seen[start, end]} has it already.",
            )
        seen[start, end] = number
        field = f'row {number}, column "time"'
        yield {"from": start, "to": end, "time": _time(time, field, decimal_comma, unit)}


def _from_matrix(
    rows: list[Row], stations: Set[str], unit: str, *, decimal_comma: bool
) -> Iterator[dict[str, Any]]:
    targets = [cell.strip() for cell in rows[0][1][1:]]
    while targets and not targets[-1]:  # spreadsheets leave empty columns behind a table
        targets.pop()
    sources = [cells[0].strip() for _, cells in rows[1:]]
    _each_once(targets, "column", range(2, len(targets) + 2), stations)
    _each_once(sources, "row", [number for number, _ in rows[1:]], stations)
    for source, (number, cells) in zip(sources, rows[1:], strict=True):
        _as_wide(number, cells, len(targets) + 1)
        for target, cell in zip(targets, cells[1:], strict=False):
            if cell.strip():
                field = f'row {number}, column "{target}"'
                time = _time(cell, field, decimal_comma, unit)
                yield {"from": source, "to": target, "time": time}


def _as_wide(number: int, cells: list[str], width: int) -> None:
    if len(cells) < width or any(cell.strip() for cell in cells[width:]):
        raise InputError(
            f"{width} cells, as in the header", field=f"row {number}", value=f"{len(cells)} cells"
        )


def _each_once(names: list[str], what: str, numbers: Collection[int], stations: Set[str]) -> None:
    seen: set[str] = set()
    for number, name in zip(numbers, names, strict=True):
        field = f"{what} {number}"
        _known(name, field, stations)
        if name in seen:
            raise InputError(f"one {what} per station", field=field, value=name)
        seen.add(name)


def _known(name: str, field: str, stations: Set[str]) -> None:
    if stations and name not in stations:
        raise InputError(
            "the name of a station of this line",
            field=field,
            value=name,
            way_out="Correct the spelling or remove it from the table.",
        )


def _time(text: str, field: str, decimal_comma: bool, unit: str) -> Decimal:
    try:
        time = exact_cell(text, field, decimal_comma=decimal_comma, largest=LARGEST, unit=unit)
    except InputError as error:
        if error.way_out is None:
            error.way_out = (
                "Decimals have a point, or a comma where semicolons or tabs separate the cells."
            )
        raise
    if time < 0:
        raise InputError("a number of at least 0", field=field, value=time)
    return time
