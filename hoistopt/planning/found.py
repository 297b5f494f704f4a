"""From what a search found to the result that users get."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from ..base.clock import Clock, OutOfTime
from ..base.errors import InfeasibleError
from ..checker import accepted, replay
from ..conflict.mus import HURRY, conflicting_demands
from ..graph.several_retiming import drawn_together
from ..instance import Instance, build_instance
from ..margin.asked import margin_conflict
from ..margin.most import most_margin
from ..problem import Problem
from ..schedule import Schedule, readable
from ..solver import Found, Shorten
from .result import Result

Tell = Callable[[int | None, int, float], None]


def instance_or_result(problem: Problem, degree: int, clock: Clock) -> Instance | Result:
    """The instance of a degree, or the result where there is none to search.

    Raises
    ------
    InputError
        When the degree makes no sense, or the problem cannot be planned.
    """
    loads = len(problem.load_set)
    try:
        return build_instance(problem, degree, clock, several=True)
    except InfeasibleError as error:
        return Result(
            "infeasible",
            None,
            None,
            degree,
            degree * loads,
            None,
            0.0,
            reason=str(error),
            problem=problem,
        )
    except OutOfTime:
        bound = readable(Fraction(problem.cycle.min * degree))
        return Result(
            "unknown", None, bound, degree, degree * loads, None, clock.elapsed, problem=problem
        )


def result_of(
    problem: Problem,
    instance: Instance,
    found: Found,
    clock: Clock,
    runtime: float | None = None,
    *,
    as_found: bool = False,
) -> Result:
    """The result of one search; its schedule is one that the checker accepts.

    Parameters
    ----------
    clock : Clock
        For naming what stands in the way where there is no schedule.
    runtime : float, optional
        Seconds of search; by default those of the clock.
    as_found : bool
        Keep the schedule found; by default it becomes the one with the most margin.

    Raises
    ------
    Refused
        When the checker refuses the schedule.
    """
    runtime = clock.elapsed if runtime is None else runtime
    if found.schedule is None:
        return _without_schedule(problem, instance, found, clock, runtime)
    if instance.several is not None:
        seen = accepted(problem, found.schedule, made_here=True)
        schedule = seen.schedule
    elif as_found:
        schedule, seen = found.schedule, accepted(problem, found.schedule, made_here=True)
    else:
        schedule, seen = most_margin(problem, instance, found.schedule)
    return Result(
        status="optimal" if schedule.cycle == found.bound else found.status,
        cycle_time=schedule.cycle_time,
        lower_bound=in_unit(found.bound, instance),
        degree=instance.degree,
        loads_per_cycle=instance.jobs,
        schedule=schedule,
        runtime=runtime,
        replay=seen,
        problem=problem,
    )


def shortener(problem: Problem) -> Shorten | None:
    """For a search with several hoists: what draws the order of a schedule together.

    The search takes the time in which a hoist makes good a distance as longer than it is; the
    checker's replay has the exact times of all ways. None for one hoist, and where a margin is
    asked for: orders drawn together leave none.
    """
    if len(problem.hoists) == 1 or problem.asks_margin:
        return None

    def shorten(schedule: Schedule, bound: int) -> Schedule | None:
        seen = replay(problem, schedule)
        drawn = drawn_together(seen.plan, bound) if seen.clean else None
        return drawn if drawn is not None and replay(problem, drawn).clean else None

    return shorten


def _without_schedule(
    problem: Problem, instance: Instance, found: Found, clock: Clock, runtime: float
) -> Result:
    reason = None
    if found.status == "infeasible":
        hurry = clock.part(HURRY, workers=1)
        margin = margin_conflict(problem, instance.degree, hurry)
        if margin is not None:
            reason = margin.sentence()
        else:
            reason = conflicting_demands(problem, instance, hurry).sentence(most=8)
    return Result(
        status=found.status,
        cycle_time=None,
        lower_bound=None if found.status == "infeasible" else in_unit(found.bound, instance),
        degree=instance.degree,
        loads_per_cycle=instance.jobs,
        schedule=None,
        runtime=runtime,
        reason=reason,
        problem=problem,
    )


def in_unit(ticks: int | Fraction, instance: Instance) -> int | float:
    """Ticks as a number of the problem's unit, for people and files."""
    return readable(Fraction(ticks) / instance.ticks_per_unit)


def teller(instance: Instance, clock: Clock, doing: str = "") -> Tell | None:
    """What passes a search's news on to whoever listens; None where nobody does."""
    if clock.effort.on_progress is None:
        return None

    def tell(best: int | None, bound: int, _: float) -> None:
        shown = None if best is None else in_unit(best, instance)
        clock.tell(doing, cycle_time=shown, lower_bound=in_unit(bound, instance))

    return tell
