"""Whether a degree keeps a pace wished for, before anything of the line is changed for it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from ...base.clock import Clock
from ...base.errors import InputError
from ...conflict.answer import OtherDegrees
from ...problem import Problem
from ..result import Result
from .best_of_degrees import solve_best_degree

Wish = Callable[[int], Fraction]
"""The greatest cycle time wished for at a degree, in the problem's unit."""


def degree_reaching(problem: Problem, wish: Wish, clock: Clock, but: int = 1) -> OtherDegrees:
    """Look for a degree that keeps a pace, among those the line gives reason to try.

    Parameters
    ----------
    wish : callable
    but : int
        A degree that was looked at before; it is not told among those looked at.
    """
    if clock.over:
        return OtherDegrees()
    try:
        best = solve_best_degree(problem, replace(clock.effort, time_limit=clock.left), wish=wish)
    except InputError:  # too large to be searched: there is then no other degree to tell of
        return OtherDegrees()
    results = () if best.choice is None else best.choice.results
    kept = next((one for one in results if _keeps(one, wish)), None)
    out = [one.degree for one in results if one is not kept and _beyond(one, wish)]
    looked = tuple(
        one.degree for one in results if one.degree != but and (one.runtime or one.degree in out)
    )
    if kept is None:
        later = tuple(one.degree for one in results if one.degree not in (but, *looked))
        proved = bool(looked) and set(looked) <= set(out)
        return OtherDegrees(looked, proved, not_reached=later)
    return OtherDegrees(looked, False, kept.degree, wish(kept.degree), kept.schedule)


def _keeps(result: Result, wish: Wish) -> bool:
    """Whether the schedule of a degree is as quick as wished for."""
    schedule = result.schedule
    return schedule is not None and schedule.time(schedule.cycle) <= wish(result.degree)


def _beyond(result: Result, wish: Wish) -> bool:
    """Whether it is proved that no schedule of the degree is as quick as wished for."""
    if result.status == "infeasible":
        return True
    bound = result.lower_bound
    return bound is not None and Fraction(str(bound)) > wish(result.degree)
