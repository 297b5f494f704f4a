"""The fields of a state in plain data, each with one clear error where it is something else."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from ..base.errors import InputError
from ..base.names import checked_name
from ..base.numbers.duration import time_in_unit
from ..base.numbers.exact import exact_number
from ..problem import Problem
from .raw_move import LONGEST, MOST_LOADS
from .state import Between
from .state_entries import MOST_WEIGHT

SHAPE = (
    'Write [hoist] with station = "..." and free_in = 0, and for each carrier [[standing]] with '
    'station = "...", recipe = "...", stage = 1 and stood = 40, or stood = [40, 70] in doubt.'
)
"""How a state is written, for whoever wrote it otherwise."""


def table_of(data: object, field: str | None, keys: Sequence[str]) -> dict[str, Any]:
    """Return data that are a table with no keys but those given; else raise InputError."""
    if not isinstance(data, dict):
        raise InputError("a table of keys and values", field=field, way_out=SHAPE)
    for key in data:
        if key not in keys:
            place = str(key) if field is None else f"{field}, {key}"
            raise InputError(f"one of the keys {', '.join(keys)}", field=place)
    return data


def entries_of(table: dict[str, Any], key: str) -> list[Any]:
    """The tables of a list; none where the key is missing."""
    entries = table.get(key, [])
    if not isinstance(entries, list):
        raise InputError("a list of tables", field=key, way_out=SHAPE)
    if len(entries) > MOST_LOADS:
        raise InputError(f"at most {MOST_LOADS} entries", field=key, value=len(entries))
    return entries


def _needed(table: dict[str, Any], key: str, field: str) -> tuple[Any, str]:
    place = f"{field}, {key}"
    if table.get(key) is None:
        raise InputError("this key to be present", field=place, way_out=SHAPE)
    return table[key], place


def station_of(table: dict[str, Any], field: str, problem: Problem) -> str:
    """A station by its name, or by its number on the controller."""
    value = table.get("station")
    if isinstance(value, int) and not isinstance(value, bool):
        called = problem.station_called(str(value))
        return called if called in problem.station_by_name else name_of(table, "station", field)
    return problem.station_called(name_of(table, "station", field))


def name_of(table: dict[str, Any], key: str, field: str) -> str:
    """A name in quotes."""
    value, place = _needed(table, key, field)
    if not isinstance(value, str):
        raise InputError("text in quotes", field=place, value=value)
    try:
        return checked_name(value)
    except ValueError as error:
        raise InputError(str(error), field=place, value=value) from None


def count_of(table: dict[str, Any], key: str, field: str, least: int, most: int) -> int:
    """A whole number within limits."""
    value, place = _needed(table, key, field)
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
        raise InputError(f"a whole number from {least} to {most}", field=place, value=value)
    return value


def between_of(table: dict[str, Any], key: str, field: str, unit: str) -> Between:
    """A time, or two between which it lies."""
    value, place = _needed(table, key, field)
    given = value if isinstance(value, list) else [value]
    if not 1 <= len(given) <= 2:
        raise InputError(
            "a time, or two times between which it lies", field=place, value=f"{len(given)} values"
        )
    times = []
    for one in given:
        try:
            times.append(Fraction(time_in_unit(one, unit, LONGEST)))
        except ValueError as error:
            raise InputError(
                str(error), field=place, value=one, way_out="In doubt write [least, most]."
            ) from None
    return Between(times[0], times[-1])


def weight_of(table: dict[str, Any], field: str) -> Fraction:
    """What giving a load up counts; 1 where nothing is said."""
    value = table.get("weight")
    if value is None:
        return Fraction(1)
    try:
        return Fraction(exact_number(value, Decimal(MOST_WEIGHT)))
    except ValueError as error:
        raise InputError(str(error), field=f"{field}, weight", value=value) from None
