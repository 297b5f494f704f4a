"""The main job: from a problem to a proven and checked schedule."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from fractions import Fraction

from ..base.clock import Clock, OutOfTime
from ..base.effort import Effort, Progress, effort_of
from ..base.errors import InfeasibleError
from ..conflict.mus import HURRY, conflicting_demands
from ..instance import Instance, build_instance
from ..margin.asked import margin_conflict
from ..margin.most import most_margin
from ..problem import Problem
from ..schedule import readable
from ..solver import Found, least_cycle
from .forgiving import forgiving, seconds_for
from .result import Result


def solve(
    problem: Problem,
    degree: int = 1,
    time_limit: float | None = None,
    workers: int | None = None,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
    *,
    effort: Effort | None = None,
    runnable: bool | float = False,
) -> Result:
    """Find the least cycle time at which a line can run.

    Parameters
    ----------
    problem : Problem
        The line and its recipes.
    degree : int
        Sets of loads entering per cycle; for one recipe, loads per cycle.
    time_limit : float, optional
        Seconds of search; the best schedule found by then comes back with its gap.
    workers : int, optional
        Search threads, by default one per core.
    seed : int
        Same seed and one worker give the same schedule, unless a time limit or a stop cuts
        in. Large lines with several loads a cycle begin from a smaller one, for which there are
        5 seconds: where they do not suffice, the schedule may differ too.
    on_progress : callable, optional
        Called with a :class:`Progress` while the search runs, from another thread.
    effort : Effort, optional
        All of these in one, and a way to stop; instead of them.
    runnable : bool or float, default False
        Whether to look, after that, for the shortest cycle that can be run, one in which
        few enough loads stand too long while the hoist's times scatter; a number: for at
        most so many seconds, else for 5. That is beside the time limit.

    Returns
    -------
    Result
        Of all schedules of its cycle time known, its own has the most margin: float, then
        slack, then dwells near the nominal ones. It keeps the margin the problem asks for.

    Raises
    ------
    InputError
        When the degree or a limit makes no sense, or the problem cannot be planned.
    Refused
        When the independent checker refuses the schedule; please report it.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> result = hoistopt.solve(problem)
    >>> result.status, result.cycle_time, result.lower_bound
    ('optimal', 234, 234)
    """
    effort = effort_of(
        effort, time_limit=time_limit, workers=workers, seed=seed, on_progress=on_progress
    )
    seconds = seconds_for(runnable)
    clock = Clock(effort)
    try:
        instance = build_instance(problem, degree, clock)
    except InfeasibleError as error:
        loads = degree * len(problem.load_set)
        return Result(
            "infeasible", None, None, degree, loads, None, 0.0, reason=str(error), problem=problem
        )
    except OutOfTime:
        loads = degree * len(problem.load_set)
        bound = readable(Fraction(problem.cycle.min * degree))
        return Result("unknown", None, bound, degree, loads, None, clock.elapsed, problem=problem)
    found = least_cycle(instance, clock, tell=_progress(instance, clock))
    if found.schedule is None:
        return _without_schedule(problem, instance, found, clock)
    schedule, seen = most_margin(problem, instance, found.schedule)
    result = Result(
        status=found.status,
        cycle_time=schedule.cycle_time,
        lower_bound=_in_unit(found.bound, instance),
        degree=degree,
        loads_per_cycle=instance.jobs,
        schedule=schedule,
        runtime=clock.elapsed,
        replay=seen,
        problem=problem,
    )
    if seconds is None:
        return result
    return forgiving(problem, instance, result, Clock(replace(effort, time_limit=seconds)))


def compare_degrees(
    problem: Problem,
    degrees: Iterable[int],
    time_limit: float | None = None,
    workers: int | None = None,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
    *,
    effort: Effort | None = None,
) -> list[Result]:
    """Solve each degree; see :func:`best_degree` for the best of them.

    Parameters
    ----------
    problem : Problem
        The line and its recipes.
    degrees : iterable of int
        Sets of loads per cycle, each to be solved.
    time_limit, workers, seed, on_progress, effort
        As of :func:`solve`; the time limit holds for each degree.

    Returns
    -------
    list of Result
        In the order of `degrees`.

    Raises
    ------
    InputError
        When a degree or a limit makes no sense, or the problem cannot be planned.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> [result.time_per_load for result in hoistopt.compare_degrees(problem, [1, 2])]
    [234.0, 234.0]
    """
    effort = effort_of(
        effort, time_limit=time_limit, workers=workers, seed=seed, on_progress=on_progress
    )
    return [solve(problem, degree, effort=effort) for degree in degrees]


def best_degree(results: Iterable[Result]) -> Result | None:
    """The result with the least mean time per load; the lowest degree among equals.

    Parameters
    ----------
    results : iterable of Result
        Of one problem, such as :func:`compare_degrees` gives.

    Returns
    -------
    Result or None
        None where no result has a schedule.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> results = hoistopt.compare_degrees(problem, [1, 2])
    >>> hoistopt.best_degree(results).degree
    1
    """
    timed = [result for result in results if result.schedule is not None]
    return min(
        timed,
        key=lambda r: (_exact_time_per_load(r), r.degree),
        default=None,
    )


def gains_over_last(results: Iterable[Result]) -> list[Fraction | None]:
    """For each result, the share by which its mean time per load is below the last one's.

    The last one is the nearest before it that has a schedule; None where either has none.
    Negative where the mean time per load is longer.

    Parameters
    ----------
    results : iterable of Result
        Of one problem, in order of degree.

    Returns
    -------
    list of Fraction or None
        One for each result: 0.1 where the mean time per load fell by a tenth.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> results = hoistopt.compare_degrees(problem, [1, 2])
    >>> hoistopt.gains_over_last(results)
    [None, Fraction(0, 1)]
    """
    gains: list[Fraction | None] = []
    last: Fraction | None = None
    for result in results:
        if result.schedule is None:
            gains.append(None)
            continue
        mean = _exact_time_per_load(result)
        gains.append(None if last is None else 1 - mean / last)
        last = mean
    return gains


def _exact_time_per_load(result: Result) -> Fraction:
    assert result.schedule is not None
    return result.schedule.time(result.schedule.cycle) / result.loads_per_cycle


def _without_schedule(problem: Problem, instance: Instance, found: Found, clock: Clock) -> Result:
    reason, runtime = None, clock.elapsed
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
        lower_bound=None if found.status == "infeasible" else _in_unit(found.bound, instance),
        degree=instance.degree,
        loads_per_cycle=instance.jobs,
        schedule=None,
        runtime=runtime,
        reason=reason,
        problem=problem,
    )


def _in_unit(ticks: int, instance: Instance) -> int | float:
    return readable(ticks / instance.ticks_per_unit)


def _progress(instance: Instance, clock: Clock) -> Callable[[int | None, int, float], None] | None:
    if clock.effort.on_progress is None:
        return None

    def tell(best: int | None, bound: int, _: float) -> None:
        shown = None if best is None else _in_unit(best, instance)
        clock.tell(cycle_time=shown, lower_bound=_in_unit(bound, instance))

    return tell
