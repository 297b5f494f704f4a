"""What the words of a controller's log mean: its columns, stations, events and times."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from ..base.errors import InputError, naming_file
from ..problem import Problem
from ..problem.files.load import read_toml
from ..schedule.words import TABLE_COLUMNS

EVENTS = ("lift", "lower")
COLUMNS = ("time", "event", "station", "carrier", "hoist", "recipe")
NEEDED = ("time", "event", "station")
UNITS = {
    "ns": (1, 1000),
    "us": (1, 1),
    "ms": (1_000, 1),
    "s": (1_000_000, 1),
    "min": (60_000_000, 1),
    "h": (3_600_000_000, 1),
    "d": (86_400_000_000, 1),
}
"""Microseconds in a unit in which times can be counted: a numerator and a denominator."""

Column = tuple[str | int, ...]
"""Names or numbers, from 1, of columns whose cells make one value, a space between them."""


@dataclass(frozen=True)
class LogMapping:
    """How the cells of a log are read.

    Attributes
    ----------
    columns : dict of str to tuple
        For each of `COLUMNS` the columns of the file that hold it.
    events : dict of str to str or None
        "lift" or "lower" for each word of the log, in lower case; None: left out.
    stations : dict of str to str or None
        The problem's station for each word of the log, as it stands or in lower case; None:
        left out.
    recipes : dict of str to str
        The problem's recipe for each word of the log, as it stands or in lower case.
    time_format : str or None
        As Python's ``strptime`` has it; None: found out.
    time_unit : str or None
        One of `UNITS`, where times are counted from the start of 1970.
    zone : str or None
        IANA name of the time zone of times that state none; None: taken as UTC.
    header : bool
        Whether the file has a row with the names of its columns.
    asked : set of str
        Those of `COLUMNS` that have to be there, as they are needed or the user named them.
    """

    columns: Mapping[str, Column]
    events: Mapping[str, str | None]
    stations: Mapping[str, str | None]
    recipes: Mapping[str, str]
    time_format: str | None = None
    time_unit: str | None = None
    zone: str | None = None
    header: bool = True
    asked: frozenset[str] = field(default_factory=frozenset)


def read_mapping(
    problem: Problem,
    path: str | Path | None = None,
    *,
    columns: Sequence[tuple[str, str]] = (),
    stations: Sequence[tuple[str, str]] = (),
    events: Sequence[tuple[str, str]] = (),
    time_format: str | None = None,
    time_unit: str | None = None,
    zone: str | None = None,
) -> LogMapping:
    """What a file says of a log's words, and what was said besides, which goes before it.

    Parameters
    ----------
    problem : Problem
        The line; its stations are known by their own names.
    path : str or Path, optional
        A TOML file with the tables columns, stations, events, recipes, time and file.
    columns, stations, events : sequence of (str, str)
        As in the tables of those names.
    time_format, time_unit, zone : str, optional
        As under ``[time]``.

    Raises
    ------
    InputError
        When the file or a value cannot be used.
    """
    stated: dict[str, Any] = {}
    if path is not None:
        stated = read_toml(Path(path), "It says what the words of a log mean, such as [columns].")
    with naming_file(str(path)) if path is not None else nullcontext():
        found = _mapping(problem, stated)
    extra: dict[str, Any] = {
        "columns": {key: _typed(text) for key, text in columns},
        "stations": {key: _left_out(text) for key, text in stations},
        "events": {key: _left_out(text) for key, text in events},
        "time": {
            key: value
            for key, value in (("format", time_format), ("unit", time_unit), ("zone", zone))
            if value is not None
        },
    }
    if not any(extra.values()):
        return found
    merged = {
        **stated,
        **{key: {**stated.get(key, {}), **value} for key, value in extra.items() if value},
    }
    if time_format is not None and time_unit is None:
        merged["time"].pop("unit", None)
    if time_unit is not None and time_format is None:
        merged["time"].pop("format", None)
    return _mapping(problem, merged)


def together(text: str) -> Column:
    """The columns that a name with plus signs means, such as ``Date+Time``."""
    return tuple(int(part) if part.isdecimal() else part for part in text.split("+"))


def _typed(text: str) -> Any:
    """A column by its name, or columns by their numbers."""
    parts = together(text)
    return list(parts) if all(isinstance(part, int) for part in parts) else text


def _left_out(text: str) -> str | bool:
    return text if text else False


def _mapping(problem: Problem, data: Mapping[str, Any]) -> LogMapping:
    known = {
        "columns": {*COLUMNS, *TABLE_COLUMNS},
        "stations": None,
        "events": None,
        "recipes": None,
        "time": {"format", "unit", "zone"},
        "file": {"header"},
    }
    for name, table in data.items():
        if name not in known:
            raise InputError(f"one of the tables {', '.join(known)}", value=name)
        if not isinstance(table, dict):
            raise InputError("a table", field=name, value=table)
        keys = known[name]
        for key in table:
            if keys is not None and key not in keys:
                raise InputError(f"one of {', '.join(sorted(keys))}", field=name, value=key)
    columns = {
        key: _column(value, key) for key, value in data.get("columns", {}).items() if key in COLUMNS
    }
    header = data.get("file", {}).get("header", True)
    if not isinstance(header, bool):
        raise InputError("true or false", field="file, header", value=header)
    if not header:
        _by_number(columns)
    names = tuple(station.name for station in problem.stations)
    time = data.get("time", {})
    return LogMapping(
        columns={**({key: (key,) for key in COLUMNS} if header else {}), **columns},
        events={event: event for event in EVENTS} | _events(data.get("events", {})),
        stations=_numbers(problem) | _own(names) | _stations(data, names),
        recipes=_own(problem.recipe_by_name) | _recipes(data, problem),
        time_format=_text(time, "format"),
        time_unit=_unit(time),
        zone=_zone(time),
        header=header,
        asked=frozenset(columns) | set(NEEDED),
    )


def _numbers(problem: Problem) -> dict[str, str]:
    """Names by the numbers that the problem file gives its stations."""
    return {str(s.number): s.name for s in problem.stations if s.number is not None}


def _own(names: Iterable[str]) -> dict[str, str]:
    """Names as they stand, and in lower case where that still tells them apart."""
    lower = Counter(name.lower() for name in names)
    own = {name: name for name in names}
    return own | {name.lower(): name for name in names if lower[name.lower()] == 1}


def _column(value: object, key: str) -> Column:
    parts = value if isinstance(value, list) else [value]
    good = parts and all(
        part >= 1 if type(part) is int else isinstance(part, str) for part in parts
    )
    if not good:
        raise InputError(
            "the name of a column or its number, from 1, or a list of them",
            field=f"columns, {key}",
            value=value,
        )
    return tuple(parts)


def _by_number(columns: Mapping[str, Column]) -> None:
    """Refuse a file without a header whose columns are not all given by number."""
    for key in NEEDED:
        if key not in columns:
            raise InputError(
                f"the number of the column with the {key}, as the file has no header",
                field=f"columns, {key}",
            )
    for key, parts in columns.items():
        for part in parts:
            if isinstance(part, str):
                raise InputError(
                    "the number of a column, as the file has no header",
                    field=f"columns, {key}",
                    value=part,
                )


def _events(table: Mapping[str, object]) -> dict[str, str | None]:
    found: dict[str, str | None] = {}
    for word, meaning in table.items():
        if meaning is not False and meaning not in EVENTS:
            raise InputError(
                '"lift" or "lower", or false for an event that is left out',
                field=f"events, {word}",
                value=meaning,
            )
        found[word.strip().lower()] = None if meaning is False else str(meaning)
    return found


def _stations(data: Mapping[str, Any], names: Sequence[str]) -> dict[str, str | None]:
    found: dict[str, str | None] = {}
    for word, meaning in data.get("stations", {}).items():
        if meaning is not False and meaning not in names:
            raise InputError(
                "a station of the problem, or false for one that is left out",
                field=f"stations, {word}",
                value=meaning,
                way_out=f"It has {', '.join(names[:40])}{' ...' if len(names) > 40 else ''}.",
            )
        found[word.strip().lower()] = None if meaning is False else str(meaning)
    return found


def _recipes(data: Mapping[str, Any], problem: Problem) -> dict[str, str]:
    for word, meaning in data.get("recipes", {}).items():
        if meaning not in problem.recipe_by_name:
            raise InputError("a recipe of the problem", field=f"recipes, {word}", value=meaning)
    return {word.strip().lower(): name for word, name in data.get("recipes", {}).items()}


def _text(table: Mapping[str, object], key: str) -> str | None:
    value = table.get(key)
    if value is not None and (not isinstance(value, str) or not value.strip()):
        raise InputError("text in quotes", field=f"time, {key}", value=value)
    return value


def _unit(table: Mapping[str, object]) -> str | None:
    value = _text(table, "unit")
    if value is not None and value not in UNITS:
        raise InputError(f"one of {', '.join(UNITS)}", field="time, unit", value=value)
    if value is not None and table.get("format") is not None:
        raise InputError("a format or a unit, not both", field="time", value=value)
    return value


def _zone(table: Mapping[str, object]) -> str | None:
    value = _text(table, "zone")
    if value is not None:
        try:
            ZoneInfo(value)
        except (OSError, ValueError, KeyError):
            raise InputError(
                "the IANA name of a time zone, such as Europe/Berlin or UTC",
                field="time, zone",
                value=value,
            ) from None
    return value
