"""Schedules to start from where a cycle has several loads: of a smaller line, made larger."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from itertools import product
from typing import Protocol

from ....base.clock import Clock
from ....instance import Instance
from ....schedule import Schedule
from ..incumbent import Incumbent
from .copies import copied, fewer_sets
from .groups import REACHES, groups_of, merged, retimed, sets_when_merged, unrolled
from .merged_line import RETIMED, WORTH, search_merged_line

SECONDS = 5.0
"""Most for the cycle of a smaller line. Where that is not enough for a proof, what is found by
then depends on the machine, and so may all that follows."""

SEARCHED = 0.45
"""Of the time that is left, the most for a cycle of a line with its groups merged."""


class _Answer(Protocol):
    @property
    def schedule(self) -> Schedule | None: ...


Search = Callable[[Instance, Clock], _Answer]
"""How the smaller line is searched: as any line is."""


def start_from_groups(
    instance: Instance,
    incumbent: Incumbent,
    clock: Clock,
    search: Search,
    *,
    between: Callable[[], object],
) -> list[Schedule] | None:
    """Keep the cycle of the line with its groups of tanks merged, unrolled, if it is the best.

    Cycles of few sets are given times in their order. Then the merged line is searched with as
    many loads. Where a cycle of few sets could not keep its order and is worth it, the careful
    merged line's is given times, and last moves change places, which takes CP-SAT long.

    Parameters
    ----------
    incumbent : Incumbent
        Improved in place.
    search : callable
        How smaller lines are searched.
    between : callable
        Called between searches of the merged line that found nothing better, to look elsewhere.

    Returns
    -------
    list of Schedule or None
        The cycles of the line merged at the middle tanks, run as often as makes as many loads;
        None where the line has no groups, or no merged cycle was found that can be given times.
    """
    groups = groups_of(instance)

    @cache
    def cycle_of(sets: int, careful: bool) -> Schedule | None:
        line = merged(fewer_sets(instance, sets), groups, careful=careful)
        return search(line, clock.share(SEARCHED).part(SECONDS)).schedule

    def copies_of(sets: int) -> Schedule | None:
        cycle = cycle_of(sets, careful=False)
        return None if cycle is None else copied(cycle, instance.degree // sets)

    numbers = sets_when_merged(instance) if groups else []
    some: list[Schedule] = []
    timed_as: dict[int, bool] = {}  # by sets, whether the plain merged cycle was given times
    searched = instance.degree in numbers
    for reach, careful, sets in product(REACHES, (False, True), numbers):
        if incumbent.closed or clock.over:
            break
        plain = not (reach or careful)
        if timed_as and not (plain or searched):
            known = [each for each in map(copies_of, numbers) if each is not None]
            some += search_merged_line(instance, groups, known, incumbent, clock, between)
            searched = True
        if timed_as.get(sets, False):
            continue
        cycle, best = cycle_of(sets, careful=careful), incumbent.best
        times = instance.degree // sets
        if cycle is None:
            continue
        if timed_as and not plain and best is not None and WORTH * cycle.cycle * times > best:
            continue
        whole = unrolled(instance, groups, cycle, times)
        timed = retimed(instance, whole, clock.share(RETIMED) if reach else clock, (reach,))
        if timed is None:
            continue
        incumbent.keep(timed, [])
        timed_as[sets] = not careful
        if not careful:
            some.append(copied(cycle, times))
    return some if timed_as else None


def start_from_copies(
    instance: Instance, incumbent: Incumbent, clock: Clock, search: Search
) -> None:
    """Solve the line for one set of loads, and keep copies of that cycle, one for each set."""
    found = search(fewer_sets(instance), clock.share(1 / 4).part(SECONDS))
    if found.schedule is not None:
        incumbent.keep(copied(found.schedule, instance.degree), [])
