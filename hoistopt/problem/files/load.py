"""Read problem files: TOML, with wide tables as CSV beside it, or a workbook."""

from __future__ import annotations

import tomllib
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from ...base.errors import InputError, naming_file
from ...base.text import read_text
from ...base.workbook.package import is_workbook
from ..problem import Problem
from .time_tables import read_times
from .toml_guard import decimal_comma, refuse_deep_keys

MOST_KEYS = 1000
"""At the top of a problem file, where a dozen have a meaning."""
TABLES = ("loaded_file", "empty_file")
"""Keys under [times] that name a table kept in a file of its own."""


def load_problem(path: str | Path) -> Problem:
    """Read a problem file.

    Parameters
    ----------
    path : str or Path
        A TOML file; CSV tables it names are looked for beside it. Or a workbook (``.xlsx``)
        as `hoistopt template line.xlsx` writes one.

    Raises
    ------
    InputError
        One error naming the file, the field and the value.

    Examples
    --------
    >>> import hoistopt
    >>> hoistopt.load_problem("problems/three_tanks_dryer.toml")
    <Problem 'Three tanks and a dryer': 5 stations, 1 recipe, times in s>
    """
    path = Path(path)
    if is_workbook(path):
        return _load_workbook(path)
    data = read_toml(path)
    with naming_file(path):
        if not data:
            empty = "has comments only" if read_text(path).strip() else "is empty"
            raise InputError(
                f"a problem, but this file {empty}",
                way_out="`hoistopt template FILE` writes one to start from.",
            )
        if len(data) > MOST_KEYS:
            raise InputError(f"at most {MOST_KEYS} keys and tables", value=f"{len(data)} of them")
        _read_tables(data, path.parent)
        return Problem.from_data(data)


def files_of(path: str | Path) -> tuple[Path, ...]:
    """A problem file and the tables beside it that it names, each of which can be read.

    Raises
    ------
    InputError
        As :func:`load_problem`.
    """
    path = Path(path)
    load_problem(path)
    if is_workbook(path):
        return (path,)
    times = read_toml(path).get("times", {})
    names = [times[key] for key in TABLES if key in times]
    return (path, *dict.fromkeys(path.parent / name for name in names))


def _load_workbook(path: Path) -> Problem:
    from ..workbook.places import naming_cells
    from ..workbook.reading import read_problem_data

    found = read_problem_data(path, Problem)
    with naming_cells(path, found):
        return Problem.from_data(found.data)


def read_toml(
    path: Path, way_out: str = "`hoistopt template` writes one to start from."
) -> dict[str, Any]:
    """A TOML file as plain data, its numbers as exact decimals.

    Parameters
    ----------
    path : Path
    way_out : str
        What to do about a file that is none, where it is no decimal comma.

    Raises
    ------
    InputError
        When it cannot be read or is no TOML, naming it.
    """
    text = read_text(path)
    try:
        refuse_deep_keys(text)
        return tomllib.loads(text, parse_float=_number)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        reason = "nested too deeply" if isinstance(error, RecursionError) else error
        raise InputError(
            f"a TOML file ({reason})",
            file=path,
            way_out=decimal_comma(text, str(error)) or way_out,
        ) from None
    except InputError as error:
        raise error.in_file(path) from None
    except ValueError:  # tomllib lets int() complain about thousands of digits
        raise InputError(
            "numbers of ordinary size",
            file=path,
            way_out="One of its whole numbers has thousands of digits; correct it.",
        ) from None


def _number(text: str) -> Decimal:
    """A TOML float as the decimal it is; one beyond all bounds as one just as useless."""
    try:
        return Decimal(text)
    except InvalidOperation:
        sign = "-" if text.startswith("-") else ""
        small = "-" if "e-" in text.lower() else ""
        return Decimal(f"{sign}1e{small}999999999")


def _read_tables(data: dict[str, Any], folder: Path) -> None:
    """Replace the file names under [times] by the entries in those files."""
    times = data.get("times")
    if not isinstance(times, dict):
        return
    for key, table in zip(("loaded", "empty"), TABLES, strict=True):
        name = times.pop(table, None)
        if name is None:
            continue
        if not isinstance(name, str):
            raise InputError("a file name in quotes", field=f"times, {table}", value=name)
        entries = times.get(key, [])
        if not isinstance(entries, list):
            continue  # pydantic will say what is wrong with it
        given = {
            (str(entry.get("from")), str(entry.get("to")))
            for entry in entries
            if isinstance(entry, dict)
        }
        try:
            read = read_times(
                folder / name, _names(data), str(data.get("unit", "s")), _numbers(data)
            )
        except InputError as error:
            error.way_out = f"{error.way_out or ''} The problem file names it under times.".strip()
            raise
        kept = [entry for entry in read if (entry["from"], entry["to"]) not in given]
        times[key] = entries + kept


def _numbers(data: dict[str, Any]) -> dict[str, str]:
    """Names of the stations by their numbers; those that have none are left out."""
    stations = data.get("station")
    if not isinstance(stations, list):
        return {}
    return {
        str(station["number"]): str(station.get("name"))
        for station in stations
        if isinstance(station, dict) and type(station.get("number")) is int
    }


def _names(data: dict[str, Any]) -> set[str]:
    stations = data.get("station")
    if not isinstance(stations, list):
        return set()
    return {str(station.get("name")) for station in stations if isinstance(station, dict)}
