"""Schedules to start from where a cycle has several loads, of a smaller line with its hoists.

As with one hoist (:mod:`hoistopt.solver.cyclic.starts`): tanks that serve one stage are merged
into one station, whose cycle of few loads is run over and over with the tanks in turn; other
lines begin with copies of a cycle of one set of loads.
"""

from __future__ import annotations

from ...base.clock import Clock
from ...instance import Instance
from ...schedule import Schedule
from ..cyclic.starts.copies import copied, fewer_sets
from ..cyclic.starts.groups import LONGER, groups_of, held_to, merged, sets_when_merged, unrolled
from ..model.decode import starts_of
from ..model.variables import Variables
from .incumbent import GivingWay
from .looks import look
from .neighbourhoods import keep_order
from .starts import Search

SECONDS = 8.0
"""Most for the cycle of a smaller line."""
LAST_SHARE = 0.7
"""Of the time left, what the last of the smaller lines may take; what is made of its cycle takes
the rest."""
REACHES, RETIMING_WORK = (0, 4, 12), 0.5
"""Moves so near in the order may change places when they are given times; CP-SAT's work on
each, in its own measure."""


def start_from_smaller(
    instance: Instance, incumbent: GivingWay, clock: Clock, search: Search
) -> None:
    """Keep the best cycle made of one of the line with merged tanks, or of fewer loads.

    Raises
    ------
    OutOfTime
        When the clock is over before a model is built.
    """
    groups = groups_of(instance)
    every = sets_when_merged(instance) if groups else []
    for sets in every:
        if incumbent.closed:
            return
        line = merged(fewer_sets(instance, sets), groups, careful=False)
        share = LAST_SHARE if sets == every[-1] else 1 / 2
        found = search(line, clock.share(share).part(SECONDS)).schedule
        if found is not None:
            _give_times(
                instance,
                incumbent,
                clock,
                unrolled(instance, groups, found, instance.degree // sets),
            )
    if instance.degree > 1 and incumbent.schedule is None:
        found = search(fewer_sets(instance), clock.share(1 / 2).part(SECONDS)).schedule
        if found is not None:
            incumbent.keep(copied(found, instance.degree), [])


def _give_times(instance: Instance, incumbent: GivingWay, clock: Clock, schedule: Schedule) -> None:
    """Keep the shortest cycle with the tanks, the hoists and nearly the order of a schedule."""
    held = held_to(instance, schedule)
    starts = starts_of(instance, schedule)
    order = sorted(range(len(starts)), key=starts.__getitem__)
    routes = [move.routes[0] for move in held.moves]
    for reach in REACHES:

        def keeping(variables: Variables, reach: int = reach) -> None:
            keep_order(variables, routes, order, reach)

        longest = round(LONGER * schedule.cycle)
        if look(held, incumbent, clock, RETIMING_WORK, longest=longest, keeping=keeping) in (
            "optimal",
            "feasible",
        ):
            return
