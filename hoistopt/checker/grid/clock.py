"""Exact times as whole numbers on a grid fine enough for every time of a problem.

Whole numbers add and compare exactly and fast. Every rational time of the problem lies
on the grid; only a square root that has no end is cut off, beyond the 40th decimal.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from math import isqrt, lcm

from ...base.numbers.exact import MOST_DECIMALS
from ...problem import Problem
from ...problem.grid import ticks_per_unit as planned_per_unit

_DECIMALS = 10**MOST_DECIMALS
_BEYOND = 10**40
_TOLERATED = 10**30


class Clock:
    """Converts between the problem's unit, ticks of a schedule and the grid.

    Parameters
    ----------
    problem : Problem
        Its decimals and the ratios of its speeds fix the grid.
    ticks_per_unit : Fraction
        Of the schedule.

    Attributes
    ----------
    per_unit : int
        Grid steps in one time unit.
    tolerance : int
        Grid steps by which a cut-off square root may be wrong, generously; 0 where all
        times are rational.
    """

    def __init__(self, problem: Problem, ticks_per_unit: Fraction) -> None:
        planned = planned_per_unit(problem)
        per_unit = lcm(_DECIMALS, ticks_per_unit.numerator, planned.numerator)
        accelerates = False
        motions = [motion for h in problem.hoists for motion in (h.loaded, h.empty)]
        for motion in motions:
            if motion is None:
                continue
            # d/v is a multiple of 1/(v in millionths), as d has at most six decimals; the
            # same holds for v/a and, where it is rational at all, for the root of d/a.
            per_unit = lcm(per_unit, int(motion.speed * _DECIMALS))
            if motion.acceleration is not None:
                accelerates = True
                per_unit = lcm(per_unit, int(motion.acceleration * _DECIMALS))
        self.per_unit = per_unit * (_BEYOND if accelerates else 1)
        self.tolerance = self.per_unit // _TOLERATED if accelerates else 0
        self._tick = self.per_unit * ticks_per_unit.denominator // ticks_per_unit.numerator
        self._planned = self.per_unit * planned.denominator // planned.numerator
        self._fractions: dict[int, Fraction] = {}

    def ticks(self, ticks: int) -> int:
        """A number of ticks of the schedule."""
        return ticks * self._tick

    def exact_ticks(self, ticks: Fraction) -> int:
        """A number of ticks of the schedule that need not be whole; rounded down."""
        return ticks.numerator * self._tick // ticks.denominator

    @property
    def planned_tick(self) -> Fraction:
        """The grid on which the problem is planned, in its unit."""
        return Fraction(self._planned, self.per_unit)

    def root(self, squared: Fraction) -> int:
        """The square root of a fraction of squared units of time; cut off on the grid."""
        scaled = squared * self.per_unit**2
        return isqrt(scaled.numerator // scaled.denominator)

    def up_to_tick(self, time: int) -> int:
        """A time rounded up to the grid on which the problem is planned."""
        return -(-time // self._planned) * self._planned

    def exact(self, value: Decimal | int | Fraction) -> int:
        """A rational time of the problem."""
        top, bottom = value.as_integer_ratio()
        return top * self.per_unit // bottom

    def fraction(self, time: int) -> Fraction:
        """A grid time in the problem's unit."""
        # Most times of a replay come again in every cycle.
        known = self._fractions.get(time)
        if known is None:
            known = self._fractions[time] = Fraction(time, self.per_unit)
        return known
