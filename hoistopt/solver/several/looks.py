"""One look at a model of several hoists by CP-SAT, for anything better than the incumbent."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from ...base.clock import Clock
from ...instance import Instance
from ...schedule import Schedule
from ..cpsat import Status, minimise
from ..model.build import build_model
from ..model.constraints import Rule
from ..model.decode import decode
from ..model.hint import hint
from .incumbent import GivingWay


def look(
    instance: Instance,
    incumbent: GivingWay,
    clock: Clock,
    work: float | None = None,
    *,
    plainly: bool = True,
    whole: bool = False,
    shortest: int = 0,
    longest: int | None = None,
    keeping: Rule | None = None,
    heard: list[Schedule] | None = None,
) -> Status:
    """Look for a schedule better than the incumbent, and keep the best in which ways are found.

    Parameters
    ----------
    instance : Instance
        That of the incumbent, or one that leaves some of its routes out.
    work : float, optional
        Most work, in CP-SAT's own measure.
    plainly : bool
        Without presolve, in one thread; else CP-SAT as it comes, beginning from the incumbent.
    whole : bool
        Whether the instance has all routes of the incumbent's: what is refuted counts then.
    shortest, longest : int, optional
        Nothing shorter or longer is looked at; ticks.
    keeping : callable, optional
        Adds what a schedule has to keep of the incumbent.
    heard : list, optional
        Takes all schedules found, with ways or without.

    Returns
    -------
    Status
        Of what is better than the incumbent and no longer than `longest`.

    Raises
    ------
    OutOfTime
        When the clock is over before the model is built.
    """
    highest = incumbent.longest if longest is None else min(longest, incumbent.longest)
    lowest = max(shortest, incumbent.bound_of(instance))
    if highest < lowest:
        return "infeasible"
    begin = None if plainly else incumbent.schedule
    top = highest if begin is None else max(highest, begin.cycle)
    variables = build_model(instance, top, lowest=lowest, clock=clock)
    if begin is not None:
        hint(variables, begin)
    if keeping is not None:
        keeping(variables)
    variables.model.minimize(variables.cycle)
    seen: list[Schedule] = []

    # Ways are looked for once the search is over: CP-SAT waits for whoever hears of a solution.
    def see(value: Callable[[Any], int]) -> None:
        seen.append(decode(variables, value))

    def hear(best: int | None, bound: int | None) -> None:
        del best  # not before it is known how hoists give way
        if whole and bound is not None:
            incumbent.refute(instance, min(bound, highest + 1))

    status, solver = minimise(variables.model, hear, clock, work=work, plainly=plainly, see=see)
    if status in ("optimal", "feasible"):
        see(solver.value)
        incumbent.keep_best(seen)
        if heard is not None:
            heard += seen
        if whole:
            bound = round(solver.best_objective_bound)
            incumbent.refute(instance, min(bound, highest + 1))
    elif status == "infeasible" and whole:
        incumbent.refute(instance, highest + 1)
    return status
