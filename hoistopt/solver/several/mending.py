"""Mend a schedule whose hoists find no ways: some of its moves are asked for more time apart."""

from __future__ import annotations

from ...base.clock import Clock
from ...instance import Instance
from ...schedule import Schedule
from ..model.constraints.several import apart, ask_for_more
from ..model.decode import jobs_of
from ..model.several_bounds import asking
from ..model.variables import Variables
from .incumbent import GivingWay
from .looks import look
from .neighbourhoods import routes_of

WORK = 0.1
"""CP-SAT's work on one look, in its own measure: some tenths of a second."""
MOST_LOOKS = 8


def mend(instance: Instance, incumbent: GivingWay, clock: Clock, schedule: Schedule) -> None:
    """Look for a schedule with ways that is hardly longer than one without.

    Moves of two hoists that leave one another less time than *near* asks for are asked for that
    from then on, whoever makes them; the shortest cycle with that is the next to be mended, until
    ways are found or nothing is left that is better than the incumbent.

    Parameters
    ----------
    instance : Instance
        Whole, of hoists that ask for the least.
    schedule : Schedule
        One of it, without ways.

    Raises
    ------
    OutOfTime
        When the clock is over before a model is built.
    """
    near = asking(instance, "near")
    several = near.several
    assert several is not None
    pairs: set[tuple[int, int]] = set()

    def keeping(variables: Variables) -> None:
        ask_for_more(variables, several, pairs)

    for _ in range(MOST_LOOKS):
        more = _too_close(near, schedule) - pairs
        if not more:
            return
        pairs |= more
        heard: list[Schedule] = []
        best = incumbent.best
        look(instance, incumbent, clock, WORK, keeping=keeping, heard=heard)
        if not heard or incumbent.best != best:
            return
        schedule = min(heard, key=lambda each: each.cycle)


def _too_close(near: Instance, schedule: Schedule) -> set[tuple[int, int]]:
    """Pairs of moves of two hoists that do not leave one another what the instance asks for."""
    several = near.several
    assert several is not None
    routes, jobs = routes_of(near, schedule), jobs_of(near, schedule)
    starts = {(jobs[step.load], step.stage or 0): step.start for step in schedule}
    found = set()
    for a, b in near.pairs():
        if routes[a.index].hoist == routes[b.index].hoist:
            continue
        asked = apart(several, routes[a.index], routes[b.index])
        if asked is None:
            continue
        later = starts[b.job, b.stage] - starts[a.job, a.stage]
        # Some number of cycles on, the second has to start in time after the first.
        if (later - asked[1]) % schedule.cycle > asked[0] + schedule.cycle - asked[1]:
            found.add((a.index, b.index))
    return found
