"""Times in whole ticks, rounded to the safe side."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction


def ticks_up(time: Decimal | Fraction, grid: Fraction) -> int:
    """Whole ticks, rounded up."""
    return -((-Fraction(time) * grid) // 1)


def ticks_down(time: Decimal | Fraction, grid: Fraction) -> int:
    """Whole ticks, rounded down."""
    return (Fraction(time) * grid) // 1
