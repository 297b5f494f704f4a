"""What it costs in cycle time that fewer loads stand too long."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress

from ..base.clock import Clock, OutOfTime
from ..checker import Replay
from ..instance import build_instance
from ..problem import Problem
from ..schedule import Schedule
from .figures import margin_figures
from .runnable import Runnable, confirmed, judged
from .search import Candidate, RunnableSearch

SHARES = (-1.0, -0.3, -0.25, -0.2, -0.15, -0.1, -0.05, 0.0, 1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0)
"""Shares of the overruns for which orders leave time; far below 0: none at all."""

ORDERS = 0.6
"""Share of the time in which orders are looked for; the rest is for their times."""

CONFIRMED = 0.5
"""Of that rest, the most for the shortest one that can be run."""


def share_curve(
    problem: Problem,
    least: Schedule,
    seen: Replay,
    longest: int,
    most: int,
    clock: Clock,
    *,
    degree: int = 1,
) -> tuple[Runnable, ...]:
    """Schedules of which no shorter one known loses as few loads.

    Parameters
    ----------
    problem : Problem
    least : Schedule
        The schedule of the least cycle time, on the grid of the problem.
    seen : Replay
        The checker's, of that schedule.
    longest : int
        No cycle is longer, in ticks.
    most : int
        At most so many schedules, 2 at least.
    clock : Clock
        Same seed and one worker: same schedules, unless the clock cuts in.
    degree : int
        Sets of loads per cycle.

    Returns
    -------
    tuple of Runnable
        In order of rising cycle time and falling share of loads out of window; the first is
        that of the least cycle. Found, not proved: others may lose fewer.

    Raises
    ------
    InputError
        When the scatter does not fit the line.
    """
    figures = margin_figures(problem, seen, clock)
    points = [Runnable(least, seen, figures, "the schedule of the least cycle itself")]
    instance = build_instance(problem, degree, margin=False, several=True)
    search = RunnableSearch(problem, instance, figures.scatter, clock.share(ORDERS))
    with suppress(OutOfTime):
        search.go(least)
    last = confirmed(problem, search, clock.share(CONFIRMED))
    if last is not None and last.schedule.cycle <= longest:
        points.append(last)
        longest = last.schedule.cycle - last.met
    search.clock = clock
    known = _better([c for c in search.costs(SHARES) if c.times.cycle <= longest])
    tried = len(search.orders)
    points += [judged(problem, c, tried, clock) for c in _thinned(known, most - len(points))]
    return tuple(_pareto_points(points))


def _better(candidates: Sequence[Candidate]) -> list[Candidate]:
    """Those that lose fewer loads than any shorter one, in order of cycle time."""
    found: list[Candidate] = []
    for one in sorted(candidates, key=lambda c: (c.times.cycle, c.run.share.share)):
        if not found or one.run.share.share < found[-1].run.share.share:
            found.append(one)
    return found


def _pareto_points(points: Sequence[Runnable]) -> list[Runnable]:
    """Those schedules that lose fewer loads than any shorter one, in order of cycle time."""
    found: list[Runnable] = []
    for point in sorted(points, key=lambda p: (p.schedule.cycle, p.margin.out_of_window.share)):
        share = point.margin.out_of_window.share
        if not found or share < found[-1].margin.out_of_window.share:
            found.append(point)
    return found


def _thinned(candidates: Sequence[Candidate], most: int) -> list[Candidate]:
    """At most so many, evenly among them, the last one always."""
    count = len(candidates)
    if most < 1:
        return []
    if count <= most:
        return list(candidates)
    chosen = sorted({round((number + 1) * count / most) - 1 for number in range(most)})
    return [candidates[number] for number in chosen]
