"""The time units of a controller, and the grid of whole units."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from ..base.errors import InputError
from ..base.numbers.decimals import on_last_decimal
from ..problem import Problem


@dataclass(frozen=True)
class TimeUnit:
    """A unit in which a controller counts time in whole numbers.

    Attributes
    ----------
    key : str
        What the user types, and what follows a column's or field's name.
    label : str
        How it reads in a text.
    milliseconds : int
        Its length.
    """

    key: str
    label: str
    milliseconds: int

    def per_unit_of(self, problem: Problem) -> Fraction:
        """How many of these one time unit of `problem` has."""
        return Fraction(problem.seconds_per_unit) * 1000 / self.milliseconds

    def up(self, time: Decimal | Fraction, problem: Problem) -> int:
        """A time of the problem in whole units, rounded up."""
        return -((-Fraction(time) * self.per_unit_of(problem)) // 1)

    def down(self, time: Decimal | Fraction, problem: Problem) -> int:
        """A time of the problem in whole units, rounded down."""
        return (Fraction(time) * self.per_unit_of(problem)) // 1

    def decimal(self, units: int, problem: Problem, *, up: bool) -> Decimal:
        """Whole units as a decimal in the problem's unit.

        Where it has no short decimal, such as 1 s in minutes, it is rounded to six
        decimals in the direction asked for.
        """
        time = Fraction(units) / self.per_unit_of(problem)
        return on_last_decimal(time, "up" if up else "down")


UNITS = {
    unit.key: unit
    for unit in (
        TimeUnit("ms", "ms", 1),
        TimeUnit("ds", "0.1 s", 100),
        TimeUnit("s", "s", 1000),
        TimeUnit("min", "min", 60_000),
    )
}
_ALSO = {"0.1s": "ds", "0.1 s": "ds"}


def time_unit(key: str | TimeUnit) -> TimeUnit:
    """The unit of that name: ``ms``, ``ds`` (0.1 s), ``s`` or ``min``.

    Raises
    ------
    InputError
        For any other name.
    """
    if isinstance(key, TimeUnit):
        return key
    found = UNITS.get(_ALSO.get(key, key)) if isinstance(key, str) else None
    if found is None:
        raise InputError("one of ms, ds, 0.1s, s, min", field="time unit", value=key)
    return found
