"""Figures and places as a process engineer reads them."""

from __future__ import annotations

from decimal import Context, Decimal
from fractions import Fraction

_DECIMALS = 6


def figure(value: Fraction) -> str:
    """A number, exact where six decimals can say it, else rounded.

    >>> figure(Fraction(425, 2)), figure(Fraction(1, 3)), figure(Fraction(1, 10**9))
    ('212.5', '0.333333', '1e-9')
    """
    rounded = round(value * 10**_DECIMALS)
    if not rounded and value:
        small = Context(prec=2).divide(Decimal(value.numerator), Decimal(value.denominator))
        return f"{small.normalize():e}"
    sign = "-" if rounded < 0 else ""
    whole, decimals = divmod(abs(rounded), 10**_DECIMALS)
    return f"{sign}{whole}.{decimals:0{_DECIMALS}d}".rstrip("0").rstrip(".")


def listed(numbers: list[int]) -> str:
    """Step numbers in runs: "2, 5 to 9"."""
    parts: list[str] = []
    start = 0
    for index, number in enumerate(numbers):
        if index + 1 < len(numbers) and numbers[index + 1] == number + 1:
            continue
        first = numbers[start]
        parts.append(
            str(first)
            if first == number
            else f"{first}, {number}"
            if number == first + 1
            else f"{first} to {number}"
        )
        start = index + 1
    return ", ".join(parts)
