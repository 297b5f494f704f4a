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

SECONDS = 5.0
"""Most for the cycle of a smaller line. Where that is not enough for a proof, what is found by
then depends on the machine, and so may all that follows."""

SEARCHED, RETIMED = 0.45, 1 / 3
"""Of the time that is left, the most for a cycle of a line with its groups merged, and for giving
it times where moves change places."""

WORTH = 1.02
"""Where the careful merged line gave a schedule, moves change places only for the sake of a cycle
so many times as short."""


class _Answer(Protocol):
    @property
    def schedule(self) -> Schedule | None: ...


Search = Callable[[Instance, Clock], _Answer]
"""How the smaller line is searched: as any line is."""


def start_from_groups(
    instance: Instance, incumbent: Incumbent, clock: Clock, search: Search
) -> list[Schedule] | None:
    """Keep the cycle of the line with its groups of tanks merged, unrolled, if it is the best.

    It is given times in its order; where none keep that, that of the careful merged line is; and
    only then moves change places, which takes CP-SAT long.

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

    some: list[Schedule] = []
    timed_any = False
    for sets in sets_when_merged(instance) if groups else ():
        if incumbent.closed or clock.over:
            break
        times, kept = instance.degree // sets, False
        for reach, careful in product(REACHES, (False, True)):
            cycle, best = cycle_of(sets, careful), incumbent.best
            if cycle is None or (kept and best and WORTH * cycle.cycle * times > best):
                continue
            whole = unrolled(instance, groups, cycle, times)
            part = clock.share(RETIMED) if reach else clock
            timed = retimed(instance, whole, part, (reach,))
            if timed is None:
                continue
            incumbent.keep(timed, [])
            kept = timed_any = True
            if not careful:
                some.append(copied(cycle, times))
                break
    return some if timed_any else None


def start_from_copies(
    instance: Instance, incumbent: Incumbent, clock: Clock, search: Search
) -> None:
    """Solve the line for one set of loads, and keep copies of that cycle, one for each set."""
    found = search(fewer_sets(instance), clock.share(1 / 4).part(SECONDS))
    if found.schedule is not None:
        incumbent.keep(copied(found.schedule, instance.degree), [])
