"""hoistopt itself, called as a user of its Python interface calls it."""

from __future__ import annotations

from fractions import Fraction

from hoistopt.base.effort import Progress
from hoistopt.planning import cycle as planning
from hoistopt.problem import Problem
from hoistopt.problem.grid import ticks_per_unit

from .outcome import Clock, Outcome


def solve(problem: Problem, degree: int, workers: int, seed: int, clock: Clock) -> Outcome:
    """Least cycle time by :func:`hoistopt.solve`."""
    best: float | None = None

    def hear(news: Progress) -> None:
        nonlocal best
        if news.cycle_time is not None and news.cycle_time != best:
            best = news.cycle_time
            clock.found()

    result = planning.solve(problem, degree, clock.limit, workers, seed, hear)
    if result.schedule is not None and clock.first is None:
        clock.found()
    bound = None
    if result.lower_bound is not None:
        # Bounds are given in the unit, as floats where they are not whole.
        per_unit = ticks_per_unit(problem)
        bound = round(Fraction(result.lower_bound) * per_unit)
    return Outcome(result.status, bound, result.schedule)
