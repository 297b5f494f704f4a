"""Schedules to start from: the best split of the track into zones, and the cycle of one hoist."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import islice
from typing import Protocol

from ...base.clock import Clock
from ...instance import Instance, Route
from ...schedule import Schedule
from ..bounds import lower_bound
from .incumbent import GivingWay
from .looks import look
from .shares import Borders, Zones

ZONE_WORK = 0.1
"""CP-SAT's work on one split into zones, in its own measure: some tenths of a second."""
MOST_ZONES, IN_VAIN = 20, 6
"""Splits that are looked at, and how many in vain before the others are left."""


class _Answer(Protocol):
    @property
    def schedule(self) -> Schedule | None: ...


Search = Callable[[Instance, Clock], _Answer]
"""How a line is searched, with one hoist or several."""


def start_from_zones(instance: Instance, incumbent: GivingWay, clock: Clock) -> Borders | None:
    """Keep the best cycle in which every hoist keeps to a zone of its own, of the best splits.

    Returns
    -------
    tuple of int or None
        The borders of the best; None where no split gave a schedule better than the incumbent.

    Raises
    ------
    OutOfTime
        When the clock is over.
    """
    zones = Zones(instance)
    best, vain = None, 0
    for borders in islice(zones.splits(), MOST_ZONES):
        clock.check()
        if incumbent.closed or vain >= IN_VAIN:
            break
        before = incumbent.best
        look(zones.share(borders), incumbent, clock, ZONE_WORK)
        vain += 1
        if incumbent.best != before:
            best, vain = borders, 0
    return best


def start_from_one_hoist(
    instance: Instance, incumbent: GivingWay, clock: Clock, search: Search
) -> None:
    """Keep the cycle of one hoist that makes all moves, where one can and it may be the best.

    Raises
    ------
    OutOfTime
        When the clock is over before a model is built.
    """
    several = instance.several
    assert several is not None
    alone_ones = _each_alone(instance)
    for number, (hoist, alone) in enumerate(alone_ones):
        if lower_bound(alone, clock) > incumbent.longest:
            continue
        part = clock.share(1 / (len(alone_ones) - number))
        schedule = search(replace(alone, longest=incumbent.longest), part).schedule
        if schedule is not None:
            name = several.names[hoist]
            steps = tuple(replace(step, hoist=name) for step in schedule)
            incumbent.keep(replace(schedule, steps=steps), [])


def least_of_one_hoist(instance: Instance, clock: Clock) -> int | None:
    """A bound on the cycles that one hoist makes alone, in ticks; None where none can.

    Raises
    ------
    OutOfTime
        When the clock is over.
    """
    return min((lower_bound(alone, clock) for _, alone in _each_alone(instance)), default=None)


def _each_alone(instance: Instance) -> list[tuple[int, Instance]]:
    """The hoists that can make all moves alone, of those that take the same times one."""
    assert instance.several is not None
    found: list[tuple[int, Instance]] = []
    for hoist in range(len(instance.several)):
        alone = alone_on_the_line(instance, hoist)
        if alone is not None and not any(_as_fast(alone, other) for _, other in found):
            found.append((hoist, alone))
    return found


def _as_fast(one: Instance, other: Instance) -> bool:
    """Whether two lines with one hoist each ask for the same times."""

    def times(instance: Instance) -> list[list[Route]]:
        same = instance.moves
        return [[replace(r, hoist=0, path=None) for r in move.routes] for move in same]

    return one.empty == other.empty and times(one) == times(other)


def alone_on_the_line(instance: Instance, hoist: int) -> Instance | None:
    """The line with one of its hoists alone; None where it cannot make all moves."""
    several = instance.several
    assert several is not None
    moves = tuple(
        replace(move, routes=tuple(route for route in move.routes if route.hoist == hoist))
        for move in instance.moves
    )
    if not all(move.routes for move in moves):
        return None
    return replace(instance, moves=moves, empty=several.empties[hoist], several=None)
