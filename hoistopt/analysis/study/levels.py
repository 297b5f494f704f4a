"""The values a parameter takes: lists, ranges, and what each of them costs."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from ...base.errors import InputError
from ...base.names import seen
from ...base.numbers.exact import exact_number

Value = int | Decimal | str | None
"""A number, a word, or None for a key left out."""

MOST_LEVELS = 500
_NUMBER = re.compile(r"[+-]?(?:[0-9]{1,12}(?:\.[0-9]{1,12})?|\.[0-9]{1,12})")
WAY_OUT = (
    "Write values such as 0.3,0.4,0.5 or a range FIRST..LAST..STEP; a cost may follow each: "
    "1@0, 2@45000."
)


@dataclass(frozen=True)
class Level:
    """One value of a parameter and its cost, None where none is given."""

    value: Value
    cost: Decimal | None = None


def written(value: Value) -> str:
    """A value as it is typed."""
    if value is None:
        return "none"
    return f"{value:f}" if isinstance(value, Decimal) else str(value)


def read_levels(text: str, field: str) -> tuple[Level, ...]:
    """The levels written in a text.

    Raises
    ------
    InputError
        For the first that cannot be read; for none at all, or too many.
    """
    levels: list[Level] = []
    for part in text.split(","):
        levels += _part(part.strip(), field)
        if len(levels) > MOST_LEVELS:
            raise _too_many(field)
    return _different(levels, field)


def given_levels(values: Iterable[object], field: str) -> tuple[Level, ...]:
    """Levels from Python values: numbers, words, None, or pairs of a value and its cost."""
    if isinstance(values, str):
        return read_levels(values, field)
    levels: list[Level] = []
    for value in values:
        cost: Decimal | None = None
        if isinstance(value, tuple) and len(value) == 2:
            value, cost = value[0], _exact(value[1], f"{field}, cost")
        levels.append(value if isinstance(value, Level) else Level(plain_value(value, field), cost))
    if len(levels) > MOST_LEVELS:
        raise _too_many(field)
    return _different(levels, field)


def read_value(text: str, field: str) -> Value:
    """A single value as it is typed."""
    text = text.strip()
    if text == "none":
        return None
    if _NUMBER.fullmatch(text):
        return plain_value(Decimal(text) if "." in text else int(text), field)
    if not text or not seen(text) or len(text) > 80 or "@" in text or ".." in text:
        raise InputError("a value", field=field, value=text, way_out=WAY_OUT)
    return text


def plain_value(value: object, field: str) -> Value:
    """A Python value as the exact one it means."""
    if value is None:
        return None
    if isinstance(value, str):
        return read_value(value, field)
    number = _exact(value, field)
    return int(number) if isinstance(value, int) else number


def read_cost(text: str, field: str) -> Decimal:
    """A cost as it is typed."""
    if not _NUMBER.fullmatch(text.strip()):
        raise InputError("a number as the cost", field=field, value=text, way_out=WAY_OUT)
    return _exact(Decimal(text.strip()), field)


def _exact(value: object, field: str) -> Decimal:
    try:
        return exact_number(value)
    except ValueError as error:
        raise InputError(str(error), field=field, value=value) from None


def _part(text: str, field: str) -> list[Level]:
    ends = text.split("..")
    if len(ends) > 1 and all(_NUMBER.fullmatch(end.strip()) for end in ends):
        return _range(text, [read_value(end, field) for end in ends], field)
    value, at, cost = text.partition("@")
    return [Level(read_value(value, field), read_cost(cost, field) if at else None)]


def _range(text: str, ends: list[Value], field: str) -> list[Level]:
    first, last, *more = (Decimal(str(end)) for end in ends)
    step = more[0] if more else Decimal(1)
    if len(more) > 1 or step <= 0 or last < first:
        raise InputError(
            "a range FIRST..LAST..STEP that rises",
            field=field,
            value=text,
            way_out="Such as 60..120..20, which is 60,80,100,120.",
        )
    if (last - first) / step >= MOST_LEVELS:
        raise _too_many(field)
    whole = all(isinstance(end, int) for end in ends)
    count = int((last - first) // step) + 1
    numbers = [first + n * step for n in range(count)]
    return [Level(int(number) if whole else number) for number in numbers]


def _different(levels: list[Level], field: str) -> tuple[Level, ...]:
    if not levels:
        raise InputError("at least one value", field=field, way_out=WAY_OUT)
    seen: set[Value] = set()
    for level in levels:
        if level.value in seen:
            raise InputError("each value once", field=field, value=written(level.value))
        seen.add(level.value)
    given = sum(level.cost is not None for level in levels)
    if 0 < given < len(levels):
        raise InputError(
            "a cost for every value or for none",
            field=field,
            value=next(written(level.value) for level in levels if level.cost is None),
            way_out="Write the cost behind each value: 1@0, 2@45000.",
        )
    return tuple(levels)


def _too_many(field: str) -> InputError:
    return InputError(f"at most {MOST_LEVELS} values", field=field)
