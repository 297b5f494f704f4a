"""The main job: from a problem to a proven and checked schedule."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Literal

from ..base.clock import Clock
from ..base.effort import Effort, Progress, effort_of
from ..base.errors import InputError
from ..base.expected import as_given, of_kind
from ..instance import build_instance
from ..margin.runnable import usual_seconds
from ..problem import Problem
from ..solver import least_cycle
from ..solver.compiling import recorded
from .best_degree.best_of_degrees import solve_best_degree
from .fitting import check_size
from .forgiving import checked_seconds, forgiving
from .found import instance_or_result, result_of, shortener, teller
from .result import Result


def solve(
    problem: Problem,
    degree: int | Literal["best"] = 1,
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
    degree : int or "best"
        Sets of loads entering per cycle; for one recipe, loads per cycle. "best": that with
        the least mean time per load of all that the line gives reason to try.
    time_limit : float, optional
        Seconds of search, for all degrees together; the best schedule found by then comes
        back with its gap. Without one the search ends with a proof; that for the best
        degree ends, too, once it has a schedule and there was no progress for 30 s.
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
        most so many seconds, else for 6, or 0.4 for every move of a cycle up to 24. That is beside
        the time limit, and where another degree may do better as much is added.

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
    >>> best = hoistopt.solve(problem, degree="best")
    >>> best.degree, best.time_per_load, best.choice.proved
    (1, 234.0, 'degrees compared')

    What a line can do with two of its three nickel tanks, as while one is mended; with all
    three it takes 221.6 s a load:

    >>> problem = hoistopt.load_problem("problems/parallel_tanks.toml")
    >>> without_one = problem.with_out_of_service(["Nickel 3"])
    >>> hoistopt.solve(without_one, degree="best").time_per_load
    332.45
    """
    of_kind(problem, Problem, field="problem", way_out="load_problem reads one from a file.")
    effort = effort_of(
        effort, time_limit=time_limit, workers=workers, seed=seed, on_progress=on_progress
    )
    seconds = checked_seconds(runnable)
    clock, before = Clock(effort), recorded()
    instance = None
    if degree == "best":
        result = solve_best_degree(problem, effort)
    elif isinstance(degree, str):
        raise InputError('a whole number from 1, or "best"', field="degree", value=as_given(degree))
    else:
        made = instance_or_result(problem, degree, clock)
        if isinstance(made, Result):
            return replace(made, stopped=_stopped(made, clock))
        instance = made
        check_size(instance)
        found = least_cycle(
            instance, clock, tell=teller(instance, clock), shorten=shortener(problem)
        )
        result = result_of(problem, instance, found, clock)
    compiled = recorded().since(before)
    result = replace(
        result,
        stopped=_stopped(result, clock),
        compiling=compiled.seconds,
        uncompiled=compiled.refused > 0,
    )
    if not runnable or result.schedule is None:
        return result
    if seconds is None:
        seconds = usual_seconds(len(result.schedule.steps))
    if instance is None:
        instance = build_instance(problem, result.degree, several=True)
    return forgiving(problem, instance, result, Clock(replace(effort, time_limit=seconds)))


def _stopped(result: Result, clock: Clock) -> bool:
    """Whether a stop ended the search, and not a proof that came before it."""
    if result.choice is not None:
        return result.choice.ended == "stopped"
    return result.status in ("feasible", "unknown") and clock.stopped
