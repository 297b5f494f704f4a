"""Cycle time against the share of loads out of window: what a process engineer signs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from ...base.clock import Clock
from ...base.effort import Effort, Progress, effort_of
from ...margin.curve import share_curve
from ...margin.runnable import Runnable
from ...planning.result import Result
from ...problem import Problem
from ...schedule import Schedule
from .search import USUAL_SECONDS, Number, check_points, checked_percent, longer
from .start import least_of


@dataclass(frozen=True)
class WindowCurve:
    """The curve of cycle time over the share of loads out of window.

    Attributes
    ----------
    problem : Problem
    upto : Decimal
        Percent beyond the shortest cycle to which it goes.
    shortest : Result
        The least cycle, and whether it is proven.
    points : tuple of Runnable
        Schedules in order of rising cycle time, each with a smaller share of loads out of
        window than all before it; the first is that of `shortest`. None where there is no
        schedule. Found, not proved: other schedules may lose fewer loads.
    """

    problem: Problem
    upto: Decimal
    shortest: Result
    points: tuple[Runnable, ...]


def window_curve(
    problem: Problem,
    degree: int = 1,
    upto: Number = 10,
    points: int = 8,
    start: Result | Schedule | None = None,
    *,
    effort: Effort | None = None,
    time_limit: float | None = None,
    workers: int | None = None,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
) -> WindowCurve:
    """How the share of loads out of window falls as the cycle gets longer.

    Parameters
    ----------
    problem : Problem
        The line; its `scatter` says how the hoist's times scatter, or else one is assumed.
    degree : int
        Sets of loads per cycle; that of `start` where one is given.
    upto : number
        Percent beyond the shortest cycle to go.
    points : int
        Most points, 2 to 100.
    start : Result or Schedule, optional
        The least cycle, where it is known; otherwise it is searched for.
    effort : Effort, optional
        Its time limit is for the least cycle, and again for the curve; 20 seconds for that
        where there is none.
    time_limit, workers, seed, on_progress
        Single parts of an effort, instead of it.

    Raises
    ------
    InputError
        When a figure makes no sense, the scatter does not fit the line, or the problem
        cannot be planned.
    Refused
        When the schedule given breaks a rule.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> curve = hoistopt.window_curve(problem, time_limit=2)
    >>> curve.points[0].cycle_time, curve.points[-1].margin.out_of_window.out
    (234, 0)
    """
    effort = effort_of(
        effort, time_limit=time_limit, workers=workers, seed=seed, on_progress=on_progress
    )
    percent = checked_percent(upto, "upto")
    check_points(points)
    shortest = least_of(problem, degree, start, effort)
    if shortest.schedule is None or shortest.replay is None:
        return WindowCurve(problem, percent, shortest, ())
    seconds = USUAL_SECONDS if effort.time_limit is None else effort.time_limit
    clock = Clock(effort).part(seconds)
    clock.tell("fewer loads out of window", cycle_time=shortest.cycle_time)
    found = share_curve(
        problem,
        shortest.schedule,
        shortest.replay,
        longer(shortest.schedule.cycle, percent),
        points,
        clock,
        degree=shortest.degree,
    )
    return WindowCurve(problem, percent, shortest, found)
