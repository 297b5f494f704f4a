"""Times in whole ticks, exactly rounded: as given, or of travel by a trapezoidal profile."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from math import isqrt

from ...problem import Motion


class TravelTime:
    """A time that is the sum of a rational part and twice the root of a rational.

    Short travels never reach top speed and take ``2 * sqrt(distance / acceleration)``,
    which is irrational in general. Keeping the root apart lets sums be rounded once.
    """

    __slots__ = ("plain", "under_root")

    def __init__(self, plain: Fraction, under_root: Fraction = Fraction(0)) -> None:
        self.plain = plain
        self.under_root = under_root

    def __add__(self, more: Fraction) -> TravelTime:
        return TravelTime(self.plain + more, self.under_root)

    def floor(self, ticks_per_unit: Fraction) -> int:
        """Whole ticks in this time, rounded down."""
        return self._round(ticks_per_unit)[0]

    def ceil(self, ticks_per_unit: Fraction) -> int:
        """Whole ticks in this time, rounded up."""
        return self._round(ticks_per_unit)[1]

    def _round(self, ticks_per_unit: Fraction) -> tuple[int, int]:
        if not self.under_root:
            # As whole numbers, for a Fraction of every product would take most of the time.
            over = self.plain.numerator * ticks_per_unit.numerator
            under = self.plain.denominator * ticks_per_unit.denominator
            return over // under, -(-over // under)
        # plain + 2 sqrt(r) in ticks = p/q + sqrt(s); floor of it by integer root over q.
        plain = self.plain * ticks_per_unit
        square = 4 * self.under_root * ticks_per_unit**2
        q = plain.denominator * square.denominator
        scaled = square.numerator * square.denominator * plain.denominator**2
        root = isqrt(scaled)
        total = plain.numerator * square.denominator + root
        exact = root * root == scaled and total % q == 0
        below = total // q
        return below, below if exact else below + 1


def travel_time(distance: Fraction, motion: Motion) -> TravelTime:
    """Time to travel a distance from rest to rest, without settling.

    Parameters
    ----------
    distance : Fraction
        In the problem's length unit, not negative.
    motion : Motion
        Speed and acceleration; without an acceleration top speed counts at once.
    """
    speed = Fraction(motion.speed)
    if motion.acceleration is None:
        return TravelTime(distance / speed)
    acceleration = Fraction(motion.acceleration)
    if distance * acceleration >= speed * speed:
        return TravelTime(distance / speed + speed / acceleration)
    return TravelTime(Fraction(0), distance / acceleration)


def ticks_up(time: Decimal | Fraction, grid: Fraction) -> int:
    """Whole ticks, rounded up."""
    return -((-Fraction(time) * grid) // 1)


def ticks_down(time: Decimal | Fraction, grid: Fraction) -> int:
    """Whole ticks, rounded down."""
    return (Fraction(time) * grid) // 1
