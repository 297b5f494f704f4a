"""The grid on which a problem is planned: its key `tick`, or what that key defaults to.

The solver plans in whole ticks: moves, empty travel and minima are rounded up, maxima down. A move
rounded up ends a fraction of a tick early in truth, so its load stands longer than planned: the
maximum after it loses one tick. For the same reason two carriers set down at an unload station need
one tick more between them where the later one ends earlier by the greater fraction. The checker
computes with the exact times.

A fixed dwell (maximum = minimum) has no tick to lose: after a move of no whole number of ticks it
is planned as its minimum and in truth ends late, by less than a tick. The checker's rule, in exact
times: a load may be lifted once its minimum, rounded up to a tick, has passed since the move that
brought it, its time rounded up to a tick; where the maximum is earlier than that, and a multiple of
the tick lies in the window, the maximum gives way so far. Every output then says by how much.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

from .statement import Statement

PHYSICS_GRID = {"ms": 0, "s": 1, "min": 3, "h": 5}
"""Decimals of a tick where travel times come from physics: at most 0.1 s."""


def ticks_per_unit(problem: Statement) -> Fraction:
    """Ticks in one time unit.

    The problem's own tick if it names one. Otherwise the coarsest power of ten that
    divides every time given, and not coarser than about 0.1 s where any travel time is
    worked out from distances.
    """
    if problem.tick is not None:
        return 1 / Fraction(problem.tick)
    decimals = max((_decimals(time) for time in _given_times(problem)), default=0)
    if any(
        motion is not None for hoist in problem.hoists for motion in (hoist.loaded, hoist.empty)
    ):
        decimals = max(decimals, PHYSICS_GRID[problem.unit])
    return Fraction(10**decimals)


def fitting_tick(time: Decimal) -> Decimal:
    """The coarsest power of ten, at most 1, of which a time is a multiple."""
    return Decimal(1).scaleb(-_decimals(time))


def _decimals(time: Decimal) -> int:
    exponent = time.normalize().as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def _given_times(problem: Statement) -> Iterator[Decimal]:
    for hoist in problem.hoists:
        for motion in (hoist.loaded, hoist.empty):
            if motion is not None:
                yield motion.settling
        for time in (hoist.lift, hoist.lower):
            if time is not None:
                yield time
    for station in problem.stations:
        own = (station.lift, station.lower, station.settling)
        for time in (*own, station.min_occupation, station.min_rest):
            if time is not None:
                yield time
    for recipe in problem.recipes:
        for stage in recipe.stages:
            yield stage.min
            yield stage.drip
            if stage.max is not None:
                yield stage.max
            if stage.nominal is not None:
                yield stage.nominal
    for table in (problem.times.loaded, problem.times.empty):
        for entry in table:
            yield entry.time
    for crossing in problem.crossings:
        if crossing.min_drip is not None:
            yield crossing.min_drip
    yield problem.carriers.return_time
    yield problem.cycle.min
    if problem.cycle.max is not None:
        yield problem.cycle.max
