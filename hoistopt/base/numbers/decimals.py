"""Exact times as people read them: decimals without float noise."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Context, Decimal
from fractions import Fraction
from math import isfinite
from typing import Literal

MOST_DECIMALS = 6
# Square roots come from the checker with about 50 digits; what is this close to a tick
# is that tick.
_NOISE = Fraction(1, 10**30)


def as_decimal(time: Fraction, tick: Fraction, towards: Literal["up", "down"] = "up") -> Decimal:
    """A time as a decimal: exact where it has at most six decimals, else on the tick.

    Parameters
    ----------
    time : Fraction
        In the problem's unit.
    tick : Fraction
        Grid that times without a short decimal are rounded to, in the same unit.
    towards : {"up", "down"}
        Durations are rounded up; margins down, so that none looks larger than it is.
    """
    exact = short_decimal(time)
    if exact is not None:
        return exact
    ticks = time / tick
    nearest = round(ticks)
    if abs(ticks - nearest) > _NOISE:
        nearest = ticks.__ceil__() if towards == "up" else ticks.__floor__()
    rounded = short_decimal(nearest * tick)
    if rounded is None:  # a grid finer than what is shown
        return on_last_decimal(time, towards)
    return rounded


def mean_decimal(mean: Fraction, tick: Fraction) -> Decimal:
    """A mean of times as a decimal: exact where it has at most six, else to a hundredth of a tick.

    Rounded down, so that it is true that nothing takes less where this was proved of the mean.

    >>> mean_decimal(Fraction(6649, 30), Fraction(1, 10))
    Decimal('221.633')
    """
    return as_decimal(mean, tick / 100, "down")


def on_last_decimal(value: Fraction, towards: Literal["up", "down"]) -> Decimal:
    """A number with six decimals, the most that are shown and read, rounded up or down."""
    scaled = value * 10**MOST_DECIMALS
    whole = scaled.__ceil__() if towards == "up" else scaled.__floor__()
    return Decimal(whole).scaleb(-MOST_DECIMALS)


def short_decimal(time: Fraction) -> Decimal | None:
    """A time as a decimal of at most six decimals, or None where it has more."""
    scaled = time * 10**MOST_DECIMALS
    if scaled.denominator != 1:
        return None
    whole, part = divmod(abs(scaled.numerator), 10**MOST_DECIMALS)
    digits = f"{whole}.{part:0{MOST_DECIMALS}d}".rstrip("0").rstrip(".")
    return Decimal(f"-{digits}" if scaled < 0 else digits)


def nearest(time: Fraction, grid: Fraction) -> Decimal:
    """A time, or a position, as a decimal on the nearest point of a grid.

    For what is only looked at, and may be off either way; no margin and no limit.

    Parameters
    ----------
    time, grid : Fraction
        In one unit; ``grid`` is above 0.
    """
    return as_decimal(round(time / grid) * grid, grid)


def told(time: Fraction | float) -> str:
    """A time for people, never with an exponent.

    Exact where it has at most six decimals, else to six; a float as the shortest decimal
    that stands for it.
    """
    if isinstance(time, float):
        return f"{Decimal(repr(time)):f}".removesuffix(".0")
    exact = short_decimal(Fraction(time))
    return f"{exact:f}" if exact is not None else f"{float(time):.6f}"


def discernible(value: Fraction) -> str:
    """A number without idle zeros, exact where six decimals can say it, else rounded to six.

    What would be rounded to 0 has two figures and an exponent, so that it never looks like 0.

    >>> discernible(Fraction(425, 2)), discernible(Fraction(1, 3)), discernible(Fraction(1, 10**9))
    ('212.5', '0.333333', '1e-9')
    """
    rounded = round(value, MOST_DECIMALS)
    if not rounded and value:
        small = Context(prec=2).divide(Decimal(value.numerator), Decimal(value.denominator))
        return f"{small.normalize():e}"
    return told(rounded)


def brief(value: Fraction | float, most: int = 3) -> str:
    """A number with at most `most` decimals, one or more, and no idle zeros: "0.25", "12"."""
    return _without_idle_zeros(f"{float(value):.{most}f}")


def significant(value: Fraction | float, digits: int) -> str:
    """A measured number to `digits` significant figures, never with an exponent.

    Digits before the decimal point are all kept: 1906.3 to three is 1906.
    """
    number = float(value)
    if not isfinite(number):
        return str(number)
    places = 0 if not number else int(f"{number:.{digits - 1}e}".partition("e")[2])
    return _without_idle_zeros(f"{number:.{max(0, digits - 1 - places)}f}")


def per_cent(
    share: Fraction | float,
    figures: int = 3,
    *,
    places: int | None = None,
    sign: Literal["", "+"] = "",
) -> str:
    """A share of 1 as a number of per cent; the sign "%" stands with it or heads its column.

    Parameters
    ----------
    share : Fraction or float
    figures : int
        Significant figures, as of :func:`significant`.
    places : int, optional
        Decimals instead, idle zeros kept: for columns.
    sign : {"", "+"}
        "+" to write it before a positive number too; for numbers with `places`.

    Examples
    --------
    >>> per_cent(0.123456), per_cent(Fraction(1, 8), places=2), per_cent(0.5, places=1, sign="+")
    ('12.3', '12.50', '+50.0')
    """
    if places is None:
        return significant(100 * share, figures)
    return f"{round(float(100 * share), places) + 0.0:{sign}.{places}f}"  # never -0.0


def _without_idle_zeros(text: str) -> str:
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def to_places(value: Fraction | float | None, places: int) -> Decimal | None:
    """A number that was computed, as the nearest with so many decimals; None stays None."""
    if value is None:
        return None
    found = Decimal(f"{float(value):.{places}f}")
    return found if found else abs(found)  # never -0.00


def as_float(value: Fraction | float | None, places: int) -> float | None:
    """The same as a float, for data; None for what is not a number, too."""
    if value is None or value != value:
        return None
    return round(float(value), places) + 0.0  # never -0.0


def to_figures(value: Fraction | float | None, figures: int) -> float | None:
    """A number that was computed, to so many significant figures, for data; None stays None."""
    return None if value is None else float(significant(value, figures))


def plain(value: Decimal) -> int | float:
    """A decimal as JSON carries it: an int where it is whole, else the nearest float."""
    return int(value) if value == value.to_integral_value() else float(value)


def share(part: Fraction, whole: Fraction) -> float:
    """`part` of `whole` as a number from 0 to 1, to four decimals."""
    return round(float(part / whole), 4) if whole else 0.0


def aligned(values: Sequence[Decimal | None]) -> list[str]:
    """The cells of a column: all with as many decimals as the longest, "-" for None."""
    places = max((-int(v.as_tuple().exponent) for v in values if v is not None), default=0)
    return ["-" if value is None else f"{value:.{max(places, 0)}f}" for value in values]


def on_point(cells: Sequence[str]) -> list[str]:
    """Numbers of different decimals, padded to one width so that their points line up."""
    behind = [len(cell) - cell.index(".") if "." in cell else 0 for cell in cells]
    most = max(behind, default=0)
    padded = [cell + " " * (most - digits) for cell, digits in zip(cells, behind, strict=True)]
    width = max(map(len, padded), default=0)
    return [cell.rjust(width) for cell in padded]
