"""A brief look at the whole model, for those who ask for many schedules of one line."""

from __future__ import annotations

from dataclasses import replace

from ...base.clock import Clock, OutOfTime
from ...instance import Instance
from ...schedule import Schedule
from ..cpsat import minimise
from ..model.build import build_model, lowest_cycle
from ..model.decode import decode
from ..model.hint import hint

PLAINLY = 0.5
"""Up to so much work, in CP-SAT's own measure, the model is not prepared before the search."""


def look_briefly(
    instance: Instance, longest: int, clock: Clock, work: float, near: Schedule | None = None
) -> tuple[Schedule | None, bool]:
    """The shortest cycle that so much work finds.

    Parameters
    ----------
    instance : Instance
    longest : int
        Nothing longer is looked at; ticks.
    clock : Clock
        Same seed and one worker: same schedule, unless the clock is over before the work.
    work : float
        In CP-SAT's own measure, about a second.
    near : Schedule, optional
        One of the same moves, to begin near it; it need not keep the rules of the instance.

    Returns
    -------
    Schedule or None
    bool
        Whether there is none shorter; without a schedule, whether there is none at all.
    """
    longest = longest if instance.longest is None else min(longest, instance.longest)
    limited = replace(instance, longest=longest)
    try:
        if lowest_cycle(limited, clock) > longest:
            return None, True
        variables = build_model(limited, longest, clock=clock)
    except OutOfTime:
        return None, False
    if near is not None:
        hint(variables, near)
    variables.model.minimize(variables.cycle)
    status, solver = minimise(
        variables.model,
        lambda best, bound: None,
        clock,
        work=work,
        plainly=work <= PLAINLY,
        probe=instance.jobs == 1,
    )
    if status in ("optimal", "feasible"):
        return decode(variables, solver.value), status == "optimal"
    return None, status == "infeasible"
