"""Schedules to start from where a cycle has several loads: of a smaller line, made larger."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from ....base.clock import Clock
from ....instance import Instance
from ....schedule import Schedule
from ..incumbent import Incumbent
from .copies import copied, fewer_sets
from .groups import groups_of, merged, retimed, sets_when_merged, unrolled

SECONDS = 5.0
"""Most for the cycle of a smaller line. Where that is not enough for a proof, what is found by
then depends on the machine, and so may all that follows."""


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
    then: Callable[[], object] = lambda: None,
) -> list[Schedule] | None:
    """Keep the cycle of the line with its groups of tanks merged, unrolled, if it is the best.

    Parameters
    ----------
    then : callable, optional
        Called when there is such a cycle for the first time: those of more sets of loads take
        their time.

    Returns
    -------
    list of Schedule or None
        The cycles of the line merged at the middle tanks, run as often as makes as many loads;
        None where the line has no groups, or no merged cycle was found that can be given times.
    """
    some: list[Schedule] | None = None
    groups = groups_of(instance)
    for sets in sets_when_merged(instance) if groups else ():
        if incumbent.closed or clock.over:
            break
        for careful in (False, True):
            line = merged(fewer_sets(instance, sets), groups, careful=careful)
            found = search(line, clock.share(1 / 4).part(SECONDS))
            if found.schedule is None:
                continue
            cycle = unrolled(instance, groups, found.schedule, instance.degree // sets)
            timed = retimed(instance, cycle, clock)
            if timed is not None:
                incumbent.keep(timed, [])
                if some is None:
                    some = []
                    then()
                if not careful:
                    some.append(copied(found.schedule, instance.degree // sets))
                break
    return some


def start_from_copies(
    instance: Instance, incumbent: Incumbent, clock: Clock, search: Search
) -> None:
    """Solve the line for one set of loads, and keep copies of that cycle, one for each set."""
    found = search(fewer_sets(instance), clock.share(1 / 4).part(SECONDS))
    if found.schedule is not None:
        incumbent.keep(copied(found.schedule, instance.degree), [])
