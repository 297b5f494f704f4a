"""Fields of a problem that hold a time: a number of the problem's units, or a duration."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Any

from pydantic import BeforeValidator, PlainSerializer, ValidationInfo, WithJsonSchema

from . import rate
from .decimals import plain
from .duration import PATTERN, SECONDS, time_in_unit
from .exact import IN_CODE, LARGEST, exact_number, number_in_code


@dataclass(frozen=True)
class InFile:
    """The validation context of data from a file: the unit that its times are counted in.

    A unit that is none is told of where it stands; times are read as seconds until then.
    """

    unit: str

    @property
    def known_unit(self) -> str:
        """The unit; seconds where it is none."""
        return self.unit if self.unit in SECONDS else "s"


def _time(value: object, info: ValidationInfo) -> Decimal:
    context = info.context
    if isinstance(context, InFile):
        return time_in_unit(value, context.known_unit)
    if context == IN_CODE:
        if isinstance(value, str) and not _spells_number(value):
            raise ValueError(
                "a number of the problem's units; hoistopt.in_unit turns a duration into one"
            )
        return number_in_code(value)
    return exact_number(value)


def _spells_number(text: str) -> bool:
    try:
        number_in_code(text)
    except ValueError as error:
        # Another complaint than this one is about a number.
        return str(error) != "a number"
    return True


def _non_negative(value: object, info: ValidationInfo) -> Decimal:
    time = _time(value, info)
    if time < 0:
        raise ValueError("a number of at least 0")
    return time


def _positive(value: object, info: ValidationInfo) -> Decimal:
    time = _time(value, info)
    if time <= 0:
        raise ValueError("a number above 0")
    return time


_plain = PlainSerializer(plain, return_type=float, when_used="json")


def _described(least: Mapping[str, float], *patterns: str) -> WithJsonSchema:
    """The JSON Schema of a time: a number, or text of one of these patterns."""
    number: dict[str, Any] = {"type": "number", "maximum": float(LARGEST), **least}
    texts = [{"type": "string", "pattern": pattern} for pattern in patterns]
    return WithJsonSchema({"anyOf": [number, *texts]})


Time = Annotated[
    Decimal, BeforeValidator(_non_negative), _plain, _described({"minimum": 0.0}, PATTERN)
]
"""A time of at least 0."""
PositiveTime = Annotated[
    Decimal, BeforeValidator(_positive), _plain, _described({"exclusiveMinimum": 0.0}, PATTERN)
]
"""A time above 0."""

Pace = Annotated[Time, _described({"minimum": 0.0}, PATTERN, rate.PATTERN)]
"""A cycle time of at least 0; in a file also a rate, which the part it stands in turns into it."""
PositivePace = Annotated[PositiveTime, _described({"exclusiveMinimum": 0.0}, PATTERN, rate.PATTERN)]
"""A cycle time above 0; in a file also a rate."""
