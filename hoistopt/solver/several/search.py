"""Find the least cycle time of several hoists."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

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
MOST_TRIED = 12
"""Schedules of one search for which ways are looked for, the shortest first."""
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

    A schedule is kept once ways are found on which its hoists give way to one another. Where
    none are for the best, the search goes on with more room asked for between their moves. The
    bound stays that of the line.

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
            outcome, least = _whole(instance, incumbent, part, room)
            if not room and outcome == "infeasible":
                status = outcome
            # With more room nothing better is to be had once the best of less room was kept.
            kept = least is not None and incumbent.best is not None and incumbent.best <= least
            if kept or outcome == "infeasible" or clock.over:
                break
    except OutOfTime:
        pass
    if incumbent.schedule is not None:
        status = "optimal" if incumbent.closed else "feasible"
    return Found(status, incumbent.bound, incumbent.schedule, incumbent.elapsed)


def _whole(
    instance: Instance, incumbent: Incumbent, clock: Clock, room: int
) -> tuple[Status, int | None]:
    """Run CP-SAT on the whole model, and keep what is better and in which hoists find ways.

    Returns
    -------
    Status
        Of what is shorter than the best known.
    int or None
        The least cycle time that CP-SAT came to, whether hoists find ways in it or not.
    """
    highest = horizon(instance) if incumbent.best is None else incumbent.best - 1
    if highest < incumbent.bound:
        return "infeasible", None
    asked = _roomier(instance, room)
    variables = build_model(asked, highest, lowest=incumbent.lowest, clock=clock)
    variables.model.minimize(variables.cycle)

    def hear(best: int | None, bound: int | None) -> None:
        del best  # not before it is known how hoists give way
        if not room:
            incumbent.improve(None, bound)

    # Ways are looked for once the search is over: CP-SAT waits for whoever hears of a solution.
    seen: list[Schedule] = []

    def see(value: Callable[[Any], int]) -> None:
        seen.append(decode(variables, value))

    status, solver = minimise(variables.model, hear, clock, see=see)
    if status in ("optimal", "feasible"):
        see(solver.value)
        if not room:
            incumbent.improve(None, round(solver.best_objective_bound))
        _keep_best(instance, incumbent, seen)
        return status, round(solver.objective_value)
    if status == "infeasible" and incumbent.best is not None and not room:
        incumbent.improve(None, incumbent.best)  # nothing is shorter
    return status, None


def _keep_best(instance: Instance, incumbent: Incumbent, seen: Sequence[Schedule]) -> None:
    """Keep the shortest of some schedules in which ways are found to give way, if any."""
    shortest = sorted({schedule.cycle: schedule for schedule in seen}.items())
    for _, schedule in shortest[:MOST_TRIED]:
        travels = travels_of(instance, schedule)
        if travels is not None:
            incumbent.keep(replace(schedule, travels=travels), [])
            return


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
