"""Find the least cycle time of several hoists."""

from __future__ import annotations

from dataclasses import replace

from ...base.clock import Clock, OutOfTime
from ...instance import Instance
from ...schedule import Schedule
from ..cpsat import Status, minimise
from ..cyclic.incumbent import Incumbent, Tell
from ..found import Found
from ..model.build import build_model
from ..model.decode import decode
from .bounds import horizon, lower_bound
from .travels import travels_of

ROOM = (0, 1, 3, 8)
"""How much room for giving way is asked for beyond what is known to be needed, in turn."""
FIRST_SHARE = 0.7
"""Share of the time for the search without any, and of what is left for each further one."""


def least_cycle_of_several(
    instance: Instance,
    clock: Clock,
    *,
    tell: Tell | None = None,
    known: Schedule | None = None,
) -> Found:
    """Find the least cycle time of an instance with several hoists.

    A schedule whose hoists were not found ways to give way to one another is not kept: the
    search then asks for more room between their moves. The bound stays that of the line.

    Parameters
    ----------
    clock : Clock
        When it is over, what is known by then is the outcome.
    tell : callable, optional
        Called from another thread whenever the best cycle time or the bound moves.
    known : Schedule, optional
        A schedule of the instance to begin with.
    """
    incumbent = Incumbent(1, tell)
    status: Status = "unknown"
    try:
        incumbent.begin(lower_bound(instance, clock))
        if known is not None:
            incumbent.keep(known, [])
        for room in ROOM:
            last = room == ROOM[-1]
            part = clock if last or clock.left is None else clock.share(FIRST_SHARE)
            outcome = _whole(instance, incumbent, part, room)
            if not room and outcome == "infeasible":
                status = outcome
            if incumbent.schedule is not None or outcome == "infeasible" or clock.over:
                break
    except OutOfTime:
        pass
    if incumbent.schedule is not None:
        status = "optimal" if incumbent.closed else "feasible"
    return Found(status, incumbent.bound, incumbent.schedule, incumbent.elapsed)


def _whole(instance: Instance, incumbent: Incumbent, clock: Clock, room: int) -> Status:
    """The whole model by CP-SAT, its schedule kept where hoists find ways."""
    highest = horizon(instance) if incumbent.best is None else incumbent.best
    asked = _roomier(instance, room)
    variables = build_model(asked, highest, lowest=incumbent.lowest, clock=clock)
    variables.model.minimize(variables.cycle)

    def hear(best: int | None, bound: int | None) -> None:
        del best  # not before it is known how hoists give way
        if not room:
            incumbent.improve(None, bound)

    status, solver = minimise(variables.model, hear, clock)
    if status in ("optimal", "feasible"):
        schedule = decode(variables, solver.value)
        if not room:
            incumbent.improve(None, round(solver.best_objective_bound))
        travels = travels_of(instance, schedule)
        if travels is not None:
            incumbent.keep(replace(schedule, travels=travels), [])
    return status


def _roomier(instance: Instance, room: int) -> Instance:
    """The instance with more time between moves of hoists that have to give way."""
    several = instance.several
    if several is None or not room:
        return instance
    more = tuple(
        gaining + room * (gaining + slowness * several.clearance) / 4
        for gaining, slowness in zip(several.getting_up, several.slowness, strict=True)
    )
    return replace(instance, several=replace(several, getting_up=more))
