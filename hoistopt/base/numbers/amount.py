"""How far figures give way, as a user writes it: ten seconds, or a tenth of each."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from fractions import Fraction

from ..errors import InputError
from .decimals import on_last_decimal
from .duration import Duration, duration, given_time
from .exact import exact_number


@dataclass(frozen=True)
class Amount:
    """How far limits give way: a time in the problem's unit, a duration, or a share of each."""

    time: Decimal | None = None
    duration: Duration | None = None
    share: Fraction | None = None

    def in_unit(self, unit: str, field: str = "by") -> Amount:
        """The same with its duration as a number of units.

        Raises
        ------
        InputError
            When it cannot be told exactly in that unit.
        """
        if self.duration is None:
            return self
        return Amount(given_time(self.duration, unit, field))

    def of(self, value: Decimal) -> Decimal:
        """The amount for a limit of that value, a share rounded up to six decimals."""
        if self.time is not None:
            return self.time
        assert self.share is not None
        return exact_number(on_last_decimal(Fraction(value) * self.share, "up"))

    def __str__(self) -> str:
        if self.time is not None:
            return f"{self.time:f}"
        if self.duration is not None:
            return str(self.duration)
        assert self.share is not None
        return f"{float(self.share * 100):g} %"


def amount_of(value: Amount | Decimal | int | float | str, field: str = "by") -> Amount:
    """A number of units, or a text such as ``10``, ``10%`` or ``10 s``.

    Raises
    ------
    InputError
        For anything else, or an amount not above 0.
    """
    if isinstance(value, Amount):
        return value
    given = value
    if isinstance(value, str):
        text = re.fullmatch(r"\s*([0-9]+(?:\.[0-9]+)?|\.[0-9]+)\s*(%?)\s*", value)
        if text is None:
            return _in_words(value, field)
        number = Decimal(text[1])
        if text[2]:
            if not 0 < number <= 100:
                raise _bad_amount(field, given)
            return Amount(share=Fraction(number) / 100)
        value = number
    try:
        number = exact_number(value)
    except ValueError:
        raise _bad_amount(field, given) from None
    if number <= 0:
        raise _bad_amount(field, given)
    return Amount(time=number)


def _in_words(text: str, field: str) -> Amount:
    try:
        found = duration(text)
    except ValueError:
        raise _bad_amount(field, text) from None
    if found.seconds <= 0:
        raise _bad_amount(field, text)
    return Amount(duration=found)


def _bad_amount(field: str, value: object) -> InputError:
    return InputError(
        "a time above 0, or a share above 0 % and at most 100 %",
        field=field,
        value=value,
        way_out="Write 10 for ten units of time, 10 s, or 10% for a tenth of each limit.",
    )


def share_of(value: Decimal | int | float | str, field: str = "hoist_by") -> Fraction:
    """Per cent as a share of 1.

    Raises
    ------
    InputError
        When `value` is no number from 0 to 90.
    """
    try:
        number = exact_number(Decimal(value.strip("% ")) if isinstance(value, str) else value)
    except (ValueError, InvalidOperation):
        number = Decimal(-1)
    if not 0 <= number <= 90:
        raise InputError("per cent from 0 to 90", field=field, value=value)
    return Fraction(number) / 100
