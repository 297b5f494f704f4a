"""Least times between what two hoists do, against mechanics worked out by hand and sampled."""

from __future__ import annotations

from fractions import Fraction

import pytest

from hoistopt.checker.grid.clock import Clock
from hoistopt.checker.hoists.separations import Lags
from hoistopt.checker.hoists.ways import Doing, Piece
from hoistopt.problem import load_problem
from tests.helpers.hoists.two_hoists import TWO

pytestmark = pytest.mark.quick

SPEED, GAIN, CLEARANCE = Fraction(7, 10), Fraction(1, 2), Fraction(16, 10)


def clock() -> Clock:
    """Empty hoists of that line have this speed and gain it so."""
    return Clock(load_problem(TWO), Fraction(10))


def to_the_left(clock: Clock, here: Fraction, way: Fraction, speed: Fraction = SPEED) -> Doing:
    """A way from rest to rest: gaining speed, top speed, losing it; long enough for top speed."""
    per = clock.per_unit
    gaining, ramp = speed / GAIN, speed**2 / GAIN / 2
    since = [Fraction(0), gaining, gaining + (way - 2 * ramp) / speed]
    ends = [*since[1:], since[2] + gaining]
    bend = GAIN / 2 / per**2
    begins = [here, here - ramp, here - way + ramp]
    motion = [(Fraction(0), -bend), (-speed / per, Fraction(0)), (-speed / per, bend)]
    pieces = tuple(
        Piece(int(s * per), int(e * per), at, v, b)
        for s, e, at, (v, b) in zip(since, ends, begins, motion, strict=True)
    )
    until = pieces[-1].until
    return Doing(0, False, 0, until, until, here, here - way, pieces)


def lag(clock: Clock, first: Doing, then: Doing) -> Fraction:
    found = Lags(clock, CLEARANCE).of(first, then)
    assert found is not None
    return Fraction(found, clock.per_unit)


def position(clock: Clock, doing: Doing, time: float) -> float:
    grid = time * clock.per_unit
    if grid <= doing.since:
        return float(doing.here)
    for piece in doing.pieces:
        if grid <= piece.until:
            return float(piece.at(int(grid)))
    return float(doing.there)


def test_a_hoist_that_follows_at_the_same_speed_may_be_behind_by_just_the_clearance() -> None:
    """3 m apart at rest, 1.6 m at top speed: the one behind starts 1.4 m / 0.7 m/s before."""
    line = clock()
    front = to_the_left(line, Fraction(15, 2), Fraction(38, 5))
    behind = to_the_left(line, Fraction(21, 2), Fraction(9))
    assert lag(line, front, behind) == -2


@pytest.mark.parametrize("number", range(12))
def test_a_least_time_is_the_least_at_which_they_never_come_too_close(number: int) -> None:
    line = clock()
    way = Fraction(3 + number % 4)
    front = to_the_left(line, Fraction(7), way)
    # It begins and ends clear of the one in front.
    begins, ends = Fraction(9 + number % 5), Fraction(9 + number % 3) - way
    behind = to_the_left(line, begins, begins - ends, Fraction(5 + number % 4, 10))
    least = float(lag(line, front, behind))

    def closest(after: float) -> float:
        times = [n / 20 for n in range(-600, 801)]
        return min(
            position(line, behind, time - after) - position(line, front, time) for time in times
        )

    assert closest(least) >= float(CLEARANCE) - 1e-6
    assert closest(least - 0.02) < float(CLEARANCE)
