"""Fitted times as a problem file states them: rounded to the safe side."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from fractions import Fraction

from ...base.numbers.exact import LARGEST, exact_number
from ...problem import Problem
from ...problem.grid import PHYSICS_GRID, ticks_per_unit
from .figures import Figure

_DIGITS = 4
_NOISE = 1e-9
_NOTHING = 0.001


def grid_of(problem: Problem) -> Decimal:
    """To what times are rounded up: what the file is planned on, so that its tick stays.

    Where the file states a tick of its own, times need not be multiples of it.
    """
    if problem.tick is not None:
        return Decimal(1).scaleb(-PHYSICS_GRID[problem.unit])
    per_unit = ticks_per_unit(problem)
    assert per_unit.denominator == 1
    return Decimal(1) / int(per_unit)


def rounded_up(time: float, grid: Decimal) -> Decimal:
    """The least multiple of the grid that is not less; next to nothing is 0."""
    if time < _NOTHING * float(grid):
        return Decimal(0)
    count = Fraction(max(time, 0.0) * (1 - _NOISE)) / Fraction(grid)
    return exact_number(count.__ceil__() * grid)


def rounded_down(time: float, grid: Decimal) -> Decimal:
    """The greatest multiple of the grid that is not more."""
    count = Fraction(max(time, 0.0) * (1 + _NOISE)) / Fraction(grid)
    return exact_number(count.__floor__() * grid)


def slower(value: float) -> Decimal:
    """A speed or an acceleration to four digits, rounded down."""
    number = min(Decimal(repr(value)), LARGEST)
    places = _DIGITS - 1 - number.adjusted()
    step = Decimal(1).scaleb(-min(max(places, 0), 6))
    cut = (number * (1 + Decimal("1e-9"))).quantize(step, ROUND_FLOOR)
    return exact_number(cut if cut else number.quantize(Decimal("1e-6"), ROUND_CEILING))


def written(
    problem: Problem, fitted: Mapping[Figure, float | None], summed: frozenset[Figure]
) -> dict[Figure, Decimal | None]:
    """The figures as a file states them.

    Of times of which only the sum shows, the sum is rounded up and not each of them: lowering
    and settling down, lifting by as much more. A station's own time makes up for what was
    rounded down beside it.
    """
    grid = grid_of(problem)
    found: dict[Figure, Decimal | None] = {}
    less = {"lower": 0.0, "loaded settling": 0.0}
    for figure in sorted(summed, key=lambda figure: figure.name == "lift"):
        if figure.name != "lift":
            exact = fitted[figure] or 0.0
            down = found[figure] = rounded_down(exact, grid)
            less[figure.name] = max(0.0, exact - float(down))
    rest = sum(less.values())
    if Figure("lift") in summed:
        found[Figure("lift")] = rounded_up((fitted[Figure("lift")] or 0.0) + rest, grid)
    elif summed:  # no lift to make up: each for itself
        found |= {figure: rounded_up(fitted[figure] or 0.0, grid) for figure in summed}
        less = dict.fromkeys(less, 0.0)
    beside = {
        "lift": less["lower"] + less["loaded settling"],
        "lower": less["loaded settling"],
        "settling": less["lower"],
    }
    for figure, value in fitted.items():
        if figure in found:
            continue
        if value is None:
            found[figure] = None
        elif figure.is_time:
            more = beside[figure.name] if figure.station is not None else 0.0
            found[figure] = rounded_up(value + more, grid)
        else:
            found[figure] = slower(value)
    return found
