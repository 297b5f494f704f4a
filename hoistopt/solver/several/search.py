"""Find the least cycle time of several hoists."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress

from ...base.clock import LOOK_EVERY, Clock, OutOfTime
from ...base.effort import Stop
from ...instance import Instance
from ...schedule import Schedule
from ..cpsat import Status
from ..cyclic.incumbent import Found, Tell
from ..model.several_bounds import asking, lower_bound
from .incumbent import ASKED, GivingWay, Shorten
from .looks import look
from .neighbourhoods import HoistNeighbourhoods
from .raising import Raising
from .smaller import start_from_smaller
from .starts import Search, least_of_one_hoist, start_from_one_hoist, start_from_zones

FIRST_WORK = 0.4
"""CP-SAT's work on the whole model before anything else, in its own measure (about a second)."""
MANY_MOVES = 16
"""With more, the line is cut into zones first."""
SMALLER_SHARE, ZONES_SHARE, ONE_HOIST_SHARE = 0.5, 0.3, 0.2
"""Shares of the time left that the starts may take."""
FIRST_SHARE = 0.35
"""Of the time left, what the cycle of one hoist may take where it is the first of several loads."""
NEAR = 1.4
"""How near a cycle of several loads is to the bound of one hoist, as a part of it, where that hoist
alone is not searched any more."""
ROUND, LONGER = 4.0, 2.0
"""Seconds of the first round of neighbourhoods and bounds, and how much longer each next one is."""
STOCK_SHARE = 0.5
"""Of the seconds of a round, how long CP-SAT has the whole model as it comes after it."""


def least_cycle_of_several(
    instance: Instance,
    clock: Clock,
    search: Search,
    *,
    tell: Tell | None = None,
    known: Schedule | None = None,
    again: bool = False,
    shorten: Shorten | None = None,
) -> Found:
    """Find the least cycle time of an instance with several hoists.

    A short look at the whole model ends small lines. With several loads a cycle others start
    from a smaller line: tanks of a group merged, or fewer loads. Then from the track cut into
    zones, one a hoist, and from the cycle of one hoist alone. Zones that overlap, and
    neighbourhoods of the best schedule, bring better ones; beside them cycle times are refuted
    from the shortest up, and CP-SAT as it comes has the whole model in turns.

    Where hoists need time to gain speed, or times are no whole ticks, what they ask of one
    another is stated three times (:mod:`.incumbent`): bounds are those of the least, and schedules
    are looked for with more. The search ends without a proof where the shortest cycle of the
    least leaves no ways and nothing shorter than the best is left of what asks for more.

    Parameters
    ----------
    clock : Clock
        When it is over, what is known by then is the outcome.
    search : callable
        Finds the least cycle time of any line.
    tell : callable, optional
        Called from another thread whenever the best cycle time or the bound moves.
    known : Schedule, optional
        A schedule of the instance to begin with.
    again : bool
        Whether the instance was searched before: the smaller lines are not searched once more.
    shorten : callable, optional
        Makes the cycle of a schedule shorter by the exact times of its ways, but not below so
        many ticks; None where it cannot.
    """
    assert instance.several is not None
    exact = instance.several.exact
    incumbent = GivingWay(1, tell, instance=instance, shorten=None if exact else shorten)
    status: Status = "unknown"
    try:
        incumbent.begin(lower_bound(instance, clock))
        if known is not None:
            incumbent.keep(known, [])
        status = _closed(instance, incumbent, clock, search, again)
    except OutOfTime:
        pass
    if incumbent.schedule is not None:
        status = "optimal" if incumbent.closed else "feasible"
    return Found(status, incumbent.bound, incumbent.schedule, incumbent.elapsed)


def _closed(
    instance: Instance, incumbent: GivingWay, clock: Clock, search: Search, again: bool
) -> Status:
    """Run the search to its end."""
    assert instance.several is not None
    if len(instance.moves) <= MANY_MOVES:
        # Hoists that are asked for most find ways soonest; the least tells what is possible.
        for asked in ASKED[:1] if instance.several.exact else reversed(ASKED):
            status = look(asking(instance, asked), incumbent, clock, FIRST_WORK, whole=True)
            if incumbent.closed:
                return "optimal"
        if status == "infeasible" and incumbent.schedule is None:
            return status
    if instance.jobs > 1 and not again:
        with suppress(OutOfTime):
            start_from_smaller(instance, incumbent, clock.share(SMALLER_SHARE), search)
    # Models of several loads in zones are slow to give anything without a cycle to be shorter than.
    loose = instance.jobs > 1 and incumbent.schedule is None
    if loose:
        with suppress(OutOfTime):
            start_from_one_hoist(instance, incumbent, clock.share(FIRST_SHARE), search)
    with suppress(OutOfTime):
        start_from_zones(instance, incumbent, clock.share(ZONES_SHARE))
    if not loose and not _beyond_one_hoist(instance, incumbent, clock):
        with suppress(OutOfTime):
            start_from_one_hoist(instance, incumbent, clock.share(ONE_HOIST_SHARE), search)
    raising = Raising(instance, incumbent)
    neighbours = HoistNeighbourhoods(instance, incumbent, clock.seed, clock)
    seconds = ROUND
    while not (incumbent.closed or clock.over or raising.over):
        _round(incumbent, clock.part(seconds), raising, neighbours)
        if raising.impossible:
            return "infeasible"
        if incumbent.closed or clock.over or raising.over:
            break
        # Of a large line the model itself may take longer to build: the next turn is longer.
        with suppress(OutOfTime):
            part = clock.part(seconds * STOCK_SHARE)
            look(raising.instance, incumbent, part, plainly=False, whole=raising.refutes)
        seconds *= LONGER
    return "unknown"


def _beyond_one_hoist(instance: Instance, incumbent: GivingWay, clock: Clock) -> bool:
    """Whether several loads have a cycle that one hoist alone hardly makes shorter."""
    if instance.jobs == 1 or incumbent.schedule is None:
        return False
    least = least_of_one_hoist(instance, clock)
    return least is None or incumbent.schedule.cycle < NEAR * least


def _round(incumbent: GivingWay, clock: Clock, raising: Raising, near: HoistNeighbourhoods) -> None:
    """Look into neighbourhoods and raise the bound, beside one another where there are threads."""
    near.until(clock)
    if clock.workers == 1:
        while not (clock.over or incumbent.closed or raising.over):
            if incumbent.schedule is not None:
                near.look()
            with suppress(OutOfTime):
                raising.turn(clock)
        return
    ended = Stop()
    with ThreadPoolExecutor(1) as pool:
        beside = pool.submit(_raise, incumbent, clock.part(workers=1, stop=ended), raising)
        try:
            while not (clock.over or incumbent.closed or beside.done()):
                if incumbent.schedule is None:
                    time.sleep(LOOK_EVERY)
                else:
                    near.look()
        finally:
            ended.set()
    beside.result()


def _raise(incumbent: GivingWay, clock: Clock, raising: Raising) -> None:
    """Raise the bound until the clock is over or nothing is left to refute."""
    with suppress(OutOfTime):
        while not (clock.over or incumbent.closed or raising.over):
            raising.turn(clock)
