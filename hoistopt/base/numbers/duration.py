"""Durations as people write them: "25 min", "1:30", "00:07:54", "T#22s900ms", "PT1H30M"."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from ..errors import InputError
from .decimals import MOST_DECIMALS, short_decimal
from .exact import LARGEST, exact_number

SECONDS = {"ms": Decimal("0.001"), "s": Decimal(1), "min": Decimal(60), "h": Decimal(3600)}
"""Length in seconds of each unit that a problem file may count in."""

EXPECTED = 'a number, or a duration such as "25 min", "1:30", "0:07:54" or "T#22s900ms"'
TWO_FIELDS = (
    "a duration that can be read in one way only: for hours, minutes and seconds write "
    '"1:30:00", for minutes and seconds "0:01:30", or name the units'
)
"""What is expected in place of ``1:30`` where that could be hours and minutes."""

_NUMBER = r"\d{1,12}(?:[.,]\d{1,12})?"
_WORDS = rf"{_NUMBER} *(?:ms|s|min|h|d)(?: *{_NUMBER} *(?:ms|s|min|h|d))*"
_CLOCK = r"\d{1,9}:[0-5]\d(?::[0-5]\d)?(?:[.,]\d{1,12})?"
_LITERAL = (
    rf"[Ll]?(?:[Tt]|[Tt][Ii][Mm][Ee])#-?{_NUMBER}[A-Za-z]{{1,2}}(?:_?{_NUMBER}[A-Za-z]{{1,2}})*"
)
_ISO = (
    rf"P(?:{_NUMBER}W|(?=[\dT])(?:{_NUMBER}D)?"
    rf"(?:T(?=\d)(?:{_NUMBER}H)?(?:{_NUMBER}M)?(?:{_NUMBER}S)?)?)"
)
PATTERN = rf"^ *(?:-? *(?:{_WORDS}|{_CLOCK}|{_ISO})|{_LITERAL}) *$"
"""A regular expression of all durations, for JSON Schema as well; it lets some others through."""

_PART = re.compile(rf"({_NUMBER}) *([A-Za-z]+)")
_AMBIGUOUS = re.compile(r"(?<!\d)[1-9]\d{0,2},\d{3}(?!\d)")
_IN_WORDS: dict[str, int | Fraction] = {
    "d": 86_400,
    "h": 3600,
    "min": 60,
    "s": 1,
    "ms": Fraction(1, 1000),
}
_IN_LITERAL: dict[str, int | Fraction] = {
    "d": 86_400,
    "h": 3600,
    "m": 60,
    "s": 1,
    "ms": Fraction(1, 1000),
    "us": Fraction(1, 10**6),
    "ns": Fraction(1, 10**9),
}
_MOST_IN_LITERAL = {
    "h": 24,
    "m": 60,
    "s": 60,
    "ms": 1000,
    "us": 1000,
    "ns": 1000,
}
_IN_ISO = {"W": 604_800, "D": 86_400, "H": 3600, "M": 60, "S": 1}


@dataclass(frozen=True)
class Duration:
    """A duration and how it was written.

    Attributes
    ----------
    seconds : Fraction
        Exactly.
    text : str
        As the user wrote it.
    two_fields : bool
        Whether it was written as ``1:30``, which counts as minutes and seconds.
    """

    seconds: Fraction
    text: str
    two_fields: bool = False

    def in_unit(self, unit: str, largest: Decimal = LARGEST, *, of_day: bool = False) -> Decimal:
        """The duration as a number of units.

        Parameters
        ----------
        unit : str
            A key of :data:`SECONDS`.
        largest : Decimal
            The greatest number accepted.
        of_day : bool
            Whether a time of day could be meant as well, so that ``1:30`` says too little.

        Raises
        ------
        ValueError
            When it was written as ``1:30`` and could be hours and minutes, because of
            `of_day` or a unit of minutes or hours; when it has more than six decimals in
            that unit; when it is too large.
        """
        if self.two_fields and (of_day or unit in ("min", "h")):
            raise ValueError(TWO_FIELDS)
        number = self.seconds / Fraction(SECONDS[unit])
        short = short_decimal(number)
        if short is None:
            raise ValueError(
                f"a duration with at most {MOST_DECIMALS} decimals in the unit, {unit} "
                f"(it is {number} {unit}; a file in ms or s holds more of them)"
            )
        return exact_number(short, largest)

    def __str__(self) -> str:
        return self.text


def duration(text: str) -> Duration:
    """Read a duration.

    Parameters
    ----------
    text : str
        Numbers with units ``d``, ``h``, ``min``, ``s``, ``ms`` from the largest down, such
        as ``1 h 20 min`` or ``1.5 h``; ``m:ss`` or ``h:mm:ss``, with decimals of seconds;
        a duration literal of IEC 61131-3 such as ``T#22s900ms``; or a duration of ISO 8601
        such as ``PT1H30M``, without years and months, whose length is not fixed. A comma
        may mark decimals.

    Raises
    ------
    ValueError
        When it is none, or could be read in two ways.

    Examples
    --------
    >>> duration("1 h 20 min").seconds
    Fraction(4800, 1)
    >>> duration("1:30").seconds == duration("T#1m30s").seconds == 90
    True
    """
    bare = text.strip()
    if not re.fullmatch(PATTERN, bare, re.ASCII) or bare.endswith(("P", "T")):
        raise ValueError(_expected(bare))
    if _AMBIGUOUS.search(bare):
        raise ValueError("a point for decimals and nothing between thousands")
    sign = -1 if "-" in bare else 1
    plain = bare.replace("-", "").replace(",", ".").strip()
    if "#" in plain:
        seconds = _sum(plain.partition("#")[2].lower(), _IN_LITERAL, _MOST_IN_LITERAL)
    elif plain.startswith("P"):
        seconds = _of_iso(plain)
    elif ":" in plain:
        seconds = _of_clock(plain)
    else:
        seconds = _sum(plain, _IN_WORDS)
    return Duration(sign * seconds, bare, plain.count(":") == 1)


def _expected(text: str) -> str:
    if re.fullmatch(rf"{_NUMBER} *m", text):
        return '"min" for minutes; m is the metre'
    return EXPECTED


def _sum(
    text: str, units: Mapping[str, int | Fraction], most: Mapping[str, int] | None = None
) -> Fraction:
    """Numbers with units from the largest unit down, of which only the last has decimals."""
    total, before = Fraction(0), None
    parts = _PART.findall(text)
    ranks = list(units)
    for place, (number, unit) in enumerate(parts):
        if unit not in units:
            raise ValueError(f"units {', '.join(units)} after the numbers")
        if before is not None and ranks.index(unit) <= ranks.index(before):
            raise ValueError("each unit once, from the largest down")
        if "." in number and place < len(parts) - 1:
            raise ValueError("decimals in the last number only")
        # IEC 61131-3 lets only the first unit of a literal run over.
        if most is not None and before is not None and Fraction(number) >= most[unit]:
            raise ValueError(f"less than {most[unit]} {unit}, as a larger unit stands before")
        total += Fraction(number) * units[unit]
        before = unit
    return total


def _of_clock(text: str) -> Fraction:
    total = Fraction(0)
    for field in text.split(":"):
        total = total * 60 + Fraction(field)
    return total


def _of_iso(text: str) -> Fraction:
    """Weeks, days, hours, minutes and seconds; ``M`` before ``T`` would be months."""
    if text[1:].count(".") and not re.fullmatch(r"[^.]*\d\.\d+[A-Z]", text):
        raise ValueError("decimals in the last number only")
    return sum(
        (Fraction(number) * _IN_ISO[unit] for number, unit in _PART.findall(text.replace("T", ""))),
        Fraction(0),
    )


def time_in_unit(
    value: object, unit: str, largest: Decimal = LARGEST, *, of_day: bool = False
) -> Decimal:
    """A time as a number of units: a number as it is, a duration turned into it.

    Parameters
    ----------
    value : int, float, Decimal, Duration or str
        A text must be a duration, and not a bare number.
    unit, largest, of_day
        As of :meth:`Duration.in_unit`.

    Raises
    ------
    ValueError
        When it is neither, or cannot be told exactly.
    """
    if isinstance(value, str):
        value = duration(value)
    if isinstance(value, Duration):
        return value.in_unit(unit, largest, of_day=of_day)
    return exact_number(value, largest)


def given_time(
    value: int | float | Decimal | Duration, unit: str, field: str, largest: Decimal = LARGEST
) -> Decimal:
    """A time that was typed or that code gives, as a number of units.

    Raises
    ------
    InputError
        When it cannot be told exactly; it names `field`.
    """
    try:
        return time_in_unit(value, unit, largest)
    except ValueError as error:
        raise InputError(str(error), field=field, value=value) from None


def in_unit(text: str, unit: str = "s") -> Decimal:
    """A duration as a number of units, as code gives times.

    Parameters
    ----------
    text : str
        Such as ``"25 min"``, ``"1:30"``, ``"0:07:54"``, ``"T#22s900ms"`` or ``"PT1H30M"``.
    unit : {"ms", "s", "min", "h"}
        The unit of the problem.

    Raises
    ------
    InputError
        When `text` is no duration, could be read in two ways, or has more than six decimals
        in that unit.

    Examples
    --------
    >>> import hoistopt
    >>> hoistopt.in_unit("1 h 20 min", "min")
    Decimal('80')
    >>> hoistopt.in_unit("T#22s900ms")
    Decimal('22.9')
    """
    if unit not in SECONDS:
        raise InputError(f"one of {', '.join(SECONDS)}", field="unit", value=unit)
    try:
        return duration(text).in_unit(unit)
    except ValueError as error:
        raise InputError(str(error), field="duration", value=text) from None
