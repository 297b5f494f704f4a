"""Which degrees a line gives reason to try."""

from __future__ import annotations

from math import gcd, lcm

from ...instance.build import MOST_DEGREE
from ...problem import Problem
from ..idle import groups_of_tanks, idle_at_degree
from ..result import LeftOut

SMALL = (1, 2, 3)
"""Degrees that every line is tried at."""

MOST = 10
"""Degrees tried at most; each costs a share of the time."""


def degrees_to_try(problem: Problem) -> tuple[int, ...]:
    """The degrees at which the best mean time per load is looked for, the lowest first.

    A tank has the same loads in every cycle, so n loads a cycle use at most n of the tanks
    that serve a stage. Where g tanks serve v visits of a set of loads, g / gcd(g, v) sets
    are the fewest that can use all of them alike. Those degrees come first, then their least
    common multiple, the lower degrees that use fewer of the tanks, the places of stations,
    and multiples. Of more than `MOST` the last ones named are dropped, see
    :func:`degrees_not_tried`.
    """
    fitting = [degree for degree in _named(problem) if degree <= MOST_DEGREE]
    return tuple(sorted(fitting[:MOST]))


def degrees_not_tried(problem: Problem) -> tuple[LeftOut, ...]:
    """The degrees that the line gives reason to try, but that are dropped, the lowest first."""
    tried = degrees_to_try(problem)
    few = f"at most {MOST} degrees are tried"
    return tuple(
        LeftOut(degree, few if degree <= MOST_DEGREE else f"degrees go up to {MOST_DEGREE}")
        for degree in sorted(_named(problem))
        if degree not in tried
    )


def held_to_degree(problem: Problem, degree: int, *, usual: bool) -> tuple[str, ...]:
    """What an answer at one degree leaves open, a sentence each; nothing is searched for it.

    Parameters
    ----------
    usual : bool
        Whether nobody asked for that degree. Where the line has parallel tanks or a mix, it is
        then said that the answer holds for it only, and how to ask for another.
    """
    idle = idle_at_degree(problem, degree)
    tanks, mixed = groups_of_tanks(problem), len(problem.load_set) > 1
    if not usual or not (tanks or mixed):
        return idle
    why = "parallel tanks" if tanks else "a mix of loads"
    best = "" if idle else ", and `hoistopt solve` tells the best"
    return (
        *idle,
        f"the answer holds for degree {degree} only, and a line with {why} may be quicker at "
        f"another: --degree N asks for it{best}",
    )


def _named(problem: Problem) -> list[int]:
    """Every degree that the line gives reason to try, what promises most first."""
    groups = _groups(problem)
    whole = [tanks // gcd(tanks, visits) for tanks, visits in groups.items()]
    named = [*SMALL, *whole]
    if len(whole) > 1:
        named.append(lcm(*whole))
    named += range(4, max(whole, default=0))
    named += _places(problem)
    named += [2 * degree for degree in whole]
    return list(dict.fromkeys(named))


def _groups(problem: Problem) -> dict[int, int]:
    """By number of tanks in a group, how often a set of loads visits such a group."""
    found: dict[int, int] = {}
    for _, tanks, number in sorted(groups_of_tanks(problem), key=lambda group: sorted(group[1])):
        found[len(tanks)] = gcd(found.get(len(tanks), number), number)
    return found


def _places(problem: Problem) -> list[int]:
    """Numbers of carriers that stations in the recipes hold, where they are small."""
    used = {
        station
        for name in problem.load_set
        for stage in problem.recipe_by_name[name].stages
        for station in stage.station
    }
    held = {problem.station_by_name[name].capacity for name in used}
    return sorted(n for n in held if isinstance(n, int) and n <= MOST)
