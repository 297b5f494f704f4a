"""The shortest cycle of several hoists that keeps more than the rules: an order of moves, say."""

from __future__ import annotations

from ...base.clock import Clock, OutOfTime
from ...instance import Instance
from ...schedule import Schedule
from ..cpsat import Status
from ..cyclic.incumbent import Found
from ..model.constraints import Rule
from ..model.decode import starts_of
from ..model.several_bounds import asking, lower_bound
from ..model.variables import Variables
from .incumbent import ASKED, GivingWay, Shorten
from .looks import look
from .neighbourhoods import keep_order, routes_of
from .shares import narrowed

LONGER = 20
"""By this part of the longest cycle one may be longer before its ways are given exact times."""


def least_that_keeps(instance: Instance, keeping: Rule, clock: Clock) -> Found:
    """Return the shortest cycle that keeps one rule more than those of the line.

    Parameters
    ----------
    instance : Instance
        With several hoists.
    keeping : callable
        Adds the rule to the model.

    Returns
    -------
    Found
        "unknown" as well where no ways were found in any schedule that was met.
    """
    incumbent = GivingWay(1, instance=instance)
    status: Status = "unknown"
    try:
        incumbent.begin(lower_bound(instance, clock))
        status = look(instance, incumbent, clock, plainly=False, keeping=keeping)
    except OutOfTime:
        pass
    if status == "infeasible":
        return Found(status, incumbent.bound, None, incumbent.elapsed)
    if incumbent.schedule is None:
        return Found("unknown", incumbent.bound, None, incumbent.elapsed)
    shorter = incumbent.without_ways is not None
    proved: Status = "optimal" if status == "optimal" and not shorter else "feasible"
    return Found(proved, incumbent.bound, incumbent.schedule, incumbent.elapsed)


def shortest_in_order(
    instance: Instance,
    like: Schedule,
    longest: int,
    clock: Clock,
    shorten: Shorten | None = None,
) -> Schedule | None:
    """Return the shortest cycle in which all moves keep their hoists, tanks and order.

    It is one of the search's own statement of the line, so a cycle that is shorter than the
    least of another line is shorter because of what the two lines differ in.

    Parameters
    ----------
    instance : Instance
        With several hoists.
    like : Schedule
        Of a line with the same moves; its travels do not count.
    longest : int
        Nothing longer is returned; ticks.
    shorten : callable, optional
        By the exact times of the ways of a schedule.

    Returns
    -------
    Schedule or None
        With the travels by which hoists give way; None where the order has no cycle so short,
        a move cannot be made like that on this line, or the clock was over.
    """
    try:
        taken = routes_of(instance, like)
    except StopIteration:
        return None
    starts = starts_of(instance, like)
    order = sorted(range(len(starts)), key=starts.__getitem__)
    kept = narrowed(instance, lambda move, route: route is taken[move.index])
    assert instance.several is not None
    exact = instance.several.exact
    incumbent = GivingWay(1, instance=kept, shorten=None if exact else shorten)

    def keeping(variables: Variables) -> None:
        keep_order(variables, taken, order)

    try:
        incumbent.begin(lower_bound(kept, clock))
        for asked in ASKED[:1] if exact else ASKED[1:]:
            most = longest if exact else longest + longest // LONGER
            look(asking(kept, asked), incumbent, clock, longest=most, keeping=keeping)
    except OutOfTime:
        pass
    found = incumbent.schedule
    return None if found is None or found.cycle > longest else found
