"""Rates as people write a pace: "4.5/h" for four and a half loads an hour."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from .decimals import on_last_decimal
from .duration import EXPECTED as DURATION
from .duration import SECONDS, Duration, duration
from .exact import LARGEST, exact_number

EXPECTED = f'{DURATION}, or loads an hour such as "4.5/h"'
PATTERN = r"^ *\d{1,7}(?:[.,]\d{1,6})? */ *(?:h|min) *$"
"""A regular expression of a rate, for JSON Schema as well."""

_PER = {"h": 3600, "min": 60}
_LIKE = re.compile(r" *[\d.,]+ *(?:/|per|an?) *([A-Za-z]+) *")
_KNOWN = {*_PER, "hour", "hours", "minute", "minutes"}


@dataclass(frozen=True)
class Rate:
    """So many loads in a time.

    Attributes
    ----------
    per_second : Fraction
        Loads a second, exactly.
    text : str
        As the user wrote it.
    """

    per_second: Fraction
    text: str

    def time_of(self, loads: int, unit: str, towards: Literal["up", "down"]) -> Decimal:
        """The time in which so many loads come out at this rate.

        Parameters
        ----------
        loads : int
        unit : str
            Unit of the result, a key of :data:`.duration.SECONDS`.
        towards : {"up", "down"}
            Where to round what has more than six decimals: a minimum up, a maximum down, so
            that the pace is kept.

        Raises
        ------
        ValueError
            When the time is too large.
        """
        time = loads / self.per_second / Fraction(SECONDS[unit])
        return exact_number(on_last_decimal(time, towards), LARGEST)

    def __str__(self) -> str:
        return self.text


def rate(text: str) -> Rate:
    """Read a rate: a number above 0 of at most six decimals, and ``/h`` or ``/min``.

    Raises
    ------
    ValueError
        When it is none.

    Examples
    --------
    >>> rate("4.5/h").time_of(1, "s", "down")
    Decimal('800')
    >>> rate("7/h").time_of(1, "s", "down"), rate("7/h").time_of(1, "s", "up")
    (Decimal('514.285714'), Decimal('514.285715'))
    """
    bare = text.strip()
    if not re.fullmatch(PATTERN, bare, re.ASCII):
        if other := _LIKE.fullmatch(bare):
            strange = f": how long a {other[1]} runs is not known"
            raise ValueError(
                "loads an hour or a minute, such as 4.5/h or 0.2/min"
                + ("" if other[1].lower() in _KNOWN else strange)
            )
        raise ValueError(EXPECTED)
    number, _, unit = bare.partition("/")
    if re.fullmatch(r"[1-9]\d{0,2},\d{3} *", number):
        raise ValueError("a point for decimals and nothing between thousands")
    loads = Fraction(number.strip().replace(",", "."))
    if not loads:
        raise ValueError("a rate above 0")
    return Rate(loads / _PER[unit.strip()], bare)


def pace(text: str) -> Duration | Rate:
    """Read a duration or a rate.

    Raises
    ------
    ValueError
        When it is neither.
    """
    try:
        return duration(text)
    except ValueError as error:
        if re.search(r"/|\b(?:per|an?)\b", text):
            return rate(text)
        raise ValueError(EXPECTED if str(error) == DURATION else str(error)) from None
