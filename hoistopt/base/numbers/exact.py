"""Exact numbers as a user writes them: decimals, never binary floats."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from fractions import Fraction
from functools import lru_cache
from numbers import Real
from typing import Annotated

from pydantic import BeforeValidator, PlainSerializer, ValidationInfo, WithJsonSchema

from .decimals import MOST_DECIMALS, plain, short_decimal

LARGEST = Decimal(10) ** 7

Numeral = int | float | Decimal | Fraction | str
"""What code may give as a number: all are taken exactly, text as the number it spells."""

IN_CODE = "in code"
"""The validation context under which a number may be any :data:`Numeral`."""


def exact_number(value: object, largest: Decimal = LARGEST) -> Decimal:
    """Turn a number from TOML, JSON or Python into the decimal the user meant.

    Parameters
    ----------
    value : int, float or Decimal
        A float counts as the shortest decimal that prints like it.
    largest : Decimal
        The greatest magnitude accepted.

    Raises
    ------
    ValueError
        When `value` is no number, not finite, too large or too finely divided.
    """
    # Most numbers are decimals already: so are those of every copy of a line.
    number = value if type(value) is Decimal else _decimal(value, largest)
    if not number.is_finite():
        raise ValueError("a finite number")
    return _checked(number, largest) if number else number.normalize()


def _decimal(value: object, largest: Decimal) -> Decimal:
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        raise ValueError("a number")
    if isinstance(value, int) and abs(value) > largest:
        raise ValueError(f"a number of at most {largest:f}")
    # float's own repr: numpy's floats are floats, but write themselves in another way.
    return Decimal(float.__repr__(value)) if isinstance(value, float) else Decimal(value)


@lru_cache(maxsize=4096)  # the same few numbers stand in every changed copy of a line
def _checked(number: Decimal, largest: Decimal) -> Decimal:
    """A number other than zero as it is to be written; what is asked of it holds for its value."""
    # The magnitude is tested by exponent first: expanding 1e999999999 would never end.
    if number.adjusted() > largest.adjusted() or abs(number) > largest:
        raise ValueError(f"a number of at most {largest:f}")
    # Counted on the digits: normalize() would first round to the context's precision.
    _, digits, exponent = number.as_tuple()
    zeros = next((n for n, digit in enumerate(reversed(digits)) if digit), 0)
    if isinstance(exponent, int) and exponent + zeros < -MOST_DECIMALS:
        raise ValueError(f"a number with at most {MOST_DECIMALS} decimals")
    number = number.normalize()
    # normalize() turns 120 into 1.2E+2, which reads badly in messages and files.
    exponent = number.as_tuple().exponent
    return number.quantize(Decimal(1)) if isinstance(exponent, int) and exponent > 0 else number


def number_in_code(value: object) -> Decimal:
    """Turn a number that code gives into the decimal it means.

    Parameters
    ----------
    value : int, float, Decimal, Fraction or str
        Text must spell a decimal number, such as ``"12.5"``. Numbers of other libraries,
        such as numpy's, count as the shortest decimal that prints like them.

    Raises
    ------
    ValueError
        When `value` is no number, not finite, too large or too finely divided.
    """
    if isinstance(value, Fraction):
        if (short := short_decimal(value)) is None:
            raise ValueError(f"a number with at most {MOST_DECIMALS} decimals")
        return exact_number(short)
    other = isinstance(value, Real) and not isinstance(value, int | float)
    if isinstance(value, str) or other:
        try:
            return exact_number(Decimal(str(value).strip()))
        except InvalidOperation:
            raise ValueError("a number") from None
    return exact_number(value)


def _number(value: object, info: ValidationInfo) -> Decimal:
    return number_in_code(value) if info.context == IN_CODE else exact_number(value)


def _non_negative(value: object, info: ValidationInfo) -> Decimal:
    number = _number(value, info)
    if number < 0:
        raise ValueError("a number of at least 0")
    return number


def _positive(value: object, info: ValidationInfo) -> Decimal:
    number = _number(value, info)
    if number <= 0:
        raise ValueError("a number above 0")
    return number


_plain = PlainSerializer(plain, return_type=float, when_used="json")


def _described(minimum: dict[str, float]) -> WithJsonSchema:
    return WithJsonSchema({"type": "number", "maximum": float(LARGEST), **minimum})


Number = Annotated[
    Decimal, BeforeValidator(_number), _plain, _described({"minimum": -float(LARGEST)})
]
NonNegative = Annotated[
    Decimal, BeforeValidator(_non_negative), _plain, _described({"minimum": 0.0})
]
Positive = Annotated[
    Decimal, BeforeValidator(_positive), _plain, _described({"exclusiveMinimum": 0.0})
]
