"""Read a table of times kept as a CSV matrix beside the problem file."""

from __future__ import annotations

import csv
from collections.abc import Set
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from ..base.errors import InputError
from ..base.exact import exact_number
from ..base.text import read_text


def read_matrix(path: Path, stations: Set[str] = frozenset()) -> list[dict[str, Any]]:
    """Read a CSV matrix of times: header row of targets, first column of sources.

    Parameters
    ----------
    path : Path
        The file. Empty cells have no entry.
    stations : set of str
        Names the line knows; left empty, names are not looked at.

    Returns
    -------
    list of dict
        Keys ``from``, ``to`` and ``time`` (a Decimal).

    Raises
    ------
    InputError
        Naming the row and column.
    """
    try:
        rows = [row for row in csv.reader(read_text(path).splitlines()) if any(row)]
    except csv.Error as error:
        raise InputError(f"a CSV file ({error})", file=path) from None
    if len(rows) < 2 or len(rows[0]) < 2:
        raise InputError(
            "a header row of stations and at least one row of times",
            file=path,
            way_out="First column: from; header row: to.",
        )
    targets = [cell.strip() for cell in rows[0][1:]]
    sources = [row[0].strip() for row in rows[1:]]
    _check_names(targets, "column", path, stations)
    _check_names(sources, "row", path, stations)
    entries: list[dict[str, Any]] = []
    for number, (source, row) in enumerate(zip(sources, rows[1:], strict=True), start=2):
        if len(row) != len(rows[0]):
            raise InputError(
                f"{len(rows[0])} cells, as in the header",
                file=path,
                field=f"row {number}",
                value=f"{len(row)} cells",
            )
        for target, cell in zip(targets, row[1:], strict=True):
            if cell.strip():
                time = _time(cell.strip(), path, number, target)
                entries.append({"from": source, "to": target, "time": time})
    return entries


def _check_names(names: list[str], what: str, path: Path, stations: Set[str]) -> None:
    seen: set[str] = set()
    for number, name in enumerate(names, start=2):
        field = f"{what} {number}"
        if stations and name not in stations:
            raise InputError(
                "the name of a station of this line",
                file=path,
                field=field,
                value=name,
                way_out="Correct the spelling or remove it from the table.",
            )
        if name in seen:
            raise InputError(f"one {what} per station", file=path, field=field, value=name)
        seen.add(name)


def _time(text: str, path: Path, row: int, column: str) -> Decimal:
    expected = "a number"
    try:
        time = exact_number(Decimal(text))
        if time >= 0:
            return time
        expected = "a number of at least 0"
    except InvalidOperation:
        pass
    except ValueError as error:
        expected = str(error)
    raise InputError(
        expected,
        file=path,
        field=f'row {row}, column "{column}"',
        value=text,
        way_out="Use a point for decimals and leave the cell empty where there is no time.",
    )
