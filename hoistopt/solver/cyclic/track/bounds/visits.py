"""A lower bound on the time that all visits of the hoist to the left of a cut take.

A visit begins with a crossing to the left and ends with the next one to the right. Known are
minimum separations of any two crossings. Choose some of them such that each visit's beginning
is the first event of exactly one, and each visit's end the second event of exactly one: their
sum is at most the time of all visits, apart from whole cycles. The largest sum, which
is an assignment problem, is a lower bound, and the best that the separations give (duality of
network flows; Ahuja, Magnanti and Orlin 1993, Network Flows, chapter 9).

Visits may have to wait for one another in ways that none of them shows alone. This is where the
waiting that time windows enforce is counted.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ....compiled import compiled, lean
from ..times.arithmetic import minimum, minus_cycle, plus_cycle, slope
from ..times.span import SCALE, Ints

_FAR = 1 << 40


class Workspace(NamedTuple):
    """Arrays to work in, allocated once and large enough for some number of visits.

    Attributes
    ----------
    worth : array (visits, visits)
        Minimum ticks from a visit's beginning to the same or another's end, at the longest
        cycle time of the span.
    begin, end : array (visits + 1,)
        Dual prices of beginnings and ends.
    mate : array (visits + 1,)
        Which beginning each end is matched with.
    slack, pred : array (visits + 1,)
        Of the search for a shortest augmenting path: reduced cost of each end, and the end
        before it on the path.
    seen : array (visits + 1,)
        Ends that the search has reached.
    begun : array (visits + 1,)
        Which beginnings are matched from the start, each with an end that it is best for.
    """

    worth: Ints
    begin: Ints
    end: Ints
    mate: Ints
    slack: Ints
    pred: Ints
    seen: Ints
    begun: Ints


@compiled
def workspace(visits: int) -> Workspace:
    """Allocate a workspace for a number of visits."""
    size = visits + 1
    return Workspace(
        np.empty((size, size), np.int64),
        np.empty(size, np.int64),
        np.empty(size, np.int64),
        np.empty(size, np.int64),
        np.empty(size, np.int64),
        np.empty(size, np.int64),
        np.empty(size, np.bool_),
        np.empty(size, np.bool_),
    )


@lean
def total_time(separation: Ints, space: Workspace, low: int, high: int, warm: bool = False) -> int:
    """Return a lower bound on the time of all visits together, as a packed time.

    Parameters
    ----------
    separation : array (crossings, crossings)
        Packed minimum separations within one turn of the cycle. Crossings alternate, the first
        goes right; all that follows from the separations has been added.
    space : Workspace
        ``mate`` gets the assignment.
    low, high : int
        The span of cycle times, in ticks.
    warm : bool
        Whether `space` is as this function left it when some separations were smaller; its
        assignment is then kept where it still is the best.
    """
    visits = len(separation) // 2
    for k in range(visits):
        for j in range(visits):
            time = _visit_time(separation, k, j, low, high)
            space.worth[k, j] = minimum(time) + max(-slope(time), 0) * (high - low)
    if not warm or not _still_best(visits, space):
        _assign(visits, space)
    return _assigned(separation, space, low, high)


@lean
def _visit_time(separation, k, j, low, high):  # type: ignore[no-untyped-def]
    """Return the separation of the beginning of visit k and the end of visit j.

    End 0 comes first in the turn, so its next occurrence is in the next one.
    """
    time = separation[2 * k + 1, 2 * j]
    return plus_cycle(time, low, high) if j == 0 else time


@lean
def _assigned(separation, space, low, high):  # type: ignore[no-untyped-def]
    """Return the sum of the separations of the assignment, as a packed time."""
    total = 0
    for j in range(len(separation) // 2):
        total += _visit_time(separation, space.mate[j], j, low, high)
    return total


@lean
def _still_best(visits, space):  # type: ignore[no-untyped-def]
    """Return whether dual prices are still feasible: the assignment then is still the best."""
    for k in range(visits):
        for j in range(visits):
            if space.worth[k, j] > -space.begin[k] - space.end[j]:
                return False
    return True


@lean
def _assign(visits, space):  # type: ignore[no-untyped-def]
    """Find the assignment of largest worth, by shortest augmenting paths.

    After Kuhn (1955), Naval Research Logistics Quarterly 2, 83-97, with one beginning added
    at a time.
    """
    worth, begin, end, mate, slack, pred, seen, begun = space
    mate[:] = -1
    begin[:] = 0
    end[visits] = 0
    begun[:] = False
    for j in range(visits):
        best = 0
        for k in range(1, visits):
            if worth[k, j] > worth[best, j]:
                best = k
        end[j] = -worth[best, j]
        if not begun[best]:
            begun[best] = True
            mate[j] = best
    for new in range(visits):
        if begun[new]:
            continue
        mate[visits] = new
        slack[:] = _FAR
        seen[:] = False
        at = visits
        while mate[at] >= 0:
            seen[at] = True
            k, step, then = mate[at], _FAR, -1
            for j in range(visits):
                if not seen[j]:
                    lacks = -worth[k, j] - begin[k] - end[j]
                    if lacks < slack[j]:
                        slack[j], pred[j] = lacks, at
                    if slack[j] < step:
                        step, then = slack[j], j
            for j in range(visits + 1):
                if seen[j]:
                    begin[mate[j]] += step
                    end[j] -= step
                else:
                    slack[j] -= step
            at = then
        while at != visits:
            mate[at] = mate[pred[at]]
            at = pred[at]


@lean
def limit_visits(separation: Ints, space: Workspace, other: int, low: int, high: int) -> bool:
    """Tighten separations by what the cycle leaves for all visits; return whether any changed.

    The visits and what the hoist does besides take one cycle at most. So each separation of
    the assignment is at most what is left when all others are at their minimum: a maximum
    from a beginning to an end, kept as a minimum separation from the end to the beginning.

    Parameters
    ----------
    separation, space, low, high
        As for :func:`total_time`, which must have been called with them.
    other : int
        Ticks of the cycle that the hoist needs besides, at the least.
    """
    visits, new = len(separation) // 2, False
    whole = _assigned(separation, space, low, high) + SCALE * other
    for j in range(visits):
        k = space.mate[j]
        # Sum the others first: their slopes decide which cycle time of the span counts.
        back = minus_cycle(whole - _visit_time(separation, k, j, low, high), low, high)
        if j == 0:
            back = plus_cycle(back, low, high)
        if back > separation[2 * j, 2 * k + 1] + SCALE:
            separation[2 * j, 2 * k + 1] = back
            new = True
    return new
