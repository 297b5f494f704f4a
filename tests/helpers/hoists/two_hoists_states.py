"""Random states of a small line of two hoists: loads in tanks, hoists anywhere on the track."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from random import Random

from hoistopt import Between, HoistAt, LineState, Standing
from tests.reference.several.several import TwoHoists

Inside = list[tuple[int, str, int]]
"""Loads in the line: stage, tank, and how long each has stood."""


def hoists_at(line: TwoHoists, rng: Random) -> tuple[int, int]:
    """Positions of both hoists, no closer than the clearance."""
    first = min(line.positions.values()) - line.beyond[0]
    last = max(line.positions.values()) + line.beyond[1]
    left = rng.randint(first, last - line.clearance)
    return left, rng.randint(left + line.clearance, last)


def loads_inside(
    line: TwoHoists,
    rng: Random,
    share: float,
    stood: Callable[[int], int],
    *,
    fixed: bool = True,
) -> Inside:
    """Loads in some of the stages, none in a tank that it came to from that very tank.

    Parameters
    ----------
    share : float
        Of the stages that have a load.
    stood : callable
        Draws how long a load has stood, from the maximum of its stage.
    fixed : bool
        Whether stages of a fixed dwell have loads too.
    """
    found: Inside = []
    for number, (tanks, low, high) in enumerate(line.stages, start=1):
        tank = rng.choice(tanks)
        comes = number == 1 or set(line.stages[number - 2][0]) != {tank}
        free = all(tank != other for _, other, _ in found)
        if rng.random() < share and comes and free and (fixed or low < high):
            found.append((number, tank, stood(high)))
    return found


def state_of(inside: Inside, at: tuple[int, int]) -> LineState:
    """The state as hoistopt takes it."""
    hoists = tuple(
        HoistAt("", Between.of(0), name=name, position=Fraction(position))
        for name, position in zip("AB", at, strict=True)
    )
    standing = tuple(Standing(tank, stage, Between.of(t), "Parts") for stage, tank, t in inside)
    return LineState(standing, hoists=hoists)
