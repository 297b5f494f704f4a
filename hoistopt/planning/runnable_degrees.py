"""The degree at which a schedule that can be run takes the least time per load.

The degree whose least cycle takes least is not always it: with many moves a cycle there is little
time to find one that can be run, and what scatters adds up over more of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from ..base.clock import Clock
from ..checker import accepted
from ..margin.runnable import Runnable, find_runnable
from ..problem import Problem
from .result import Result, exact_time_per_load

SHARE = 0.5
"""Of the time for the degree chosen, what each of two others has at the most."""

WORTH = Fraction(99, 100)
"""What part of the time per load a higher degree has to come to, as it has more moves."""


def runnable_elsewhere(
    problem: Problem, result: Result, others: Sequence[Result], clock: Clock
) -> Result:
    """The same with what can be run at another degree, where that takes less time per load.

    The lowest degree is tried, which has the fewest moves, and that of the least mean time among
    the others; either only if its least cycle takes less time per load than what can be run so
    far. A schedule found that is better than the best one becomes it.

    Parameters
    ----------
    problem : Problem
    result : Result
        With what can be run at its own degree.
    others : sequence of Result
        Of this degree and others.
    clock : Clock
        It had the time for that of `result`; the others have theirs beside it.

    Raises
    ------
    InputError
        When the scatter does not fit the line.
    """
    own = result.runnable
    if own is None:
        return result
    best, at = own, result
    for other in _two_of(result, others):
        if clock.stopped:
            break
        worth = WORTH if other.degree > at.degree else 1  # more moves for next to nothing
        if best.can_be_run and exact_time_per_load(other) >= worth * best.time_per_load:
            continue
        assert other.schedule is not None
        clock.tell(f"a cycle that can be run at degree {other.degree}")
        fresh = Clock(clock.effort)
        found = find_runnable(
            problem,
            other.schedule,
            accepted(problem, other.schedule, other.replay, made_here=True),
            fresh.share(SHARE),
            degree=other.degree,
        )
        if best.can_be_run and found.can_be_run:
            better = found.time_per_load < worth * best.time_per_load
        else:
            better = _rank(found) < _rank(best)
        if better:
            best, at = found, other
    result = replace(result, runnable=best)
    return (
        _taken_in(result, at, best) if best.time_per_load < exact_time_per_load(result) else result
    )


def _two_of(result: Result, others: Sequence[Result]) -> list[Result]:
    """The lowest degree, and the best of the rest."""
    # One that was not searched has a copy of the cycle of another.
    known = [r for r in others if r.schedule is not None and r.runtime > 0]
    rest = [r for r in known if r.degree != result.degree]
    if not rest:
        return []
    lowest = min(rest, key=lambda r: r.degree)
    best = min(rest, key=lambda r: (exact_time_per_load(r), r.degree))
    return [lowest] if best is lowest else [lowest, best]


def _taken_in(result: Result, at: Result, best: Runnable) -> Result:
    """The result with what can be run as its best schedule, as it is shorter than that was."""
    better = replace(
        at,
        cycle_time=best.schedule.cycle_time,
        schedule=best.schedule,
        replay=best.replay,
    )
    choice = result.choice
    if choice is not None:
        results = tuple(better if r.degree == better.degree else r for r in choice.results)
        compared = min(choice.least_of_compared, float(best.time_per_load))
        choice = replace(choice, results=results, least_of_compared=compared)
    return replace(
        better,
        runtime=result.runtime,
        stopped=result.stopped,
        compiling=result.compiling,
        uncompiled=result.uncompiled,
        margin=best.margin,
        runnable=best,
        choice=choice,
    )


def _rank(found: Runnable) -> tuple[bool, float]:
    """What can be run first; else by the share of loads out of window."""
    return not found.can_be_run, found.margin.out_of_window.share
