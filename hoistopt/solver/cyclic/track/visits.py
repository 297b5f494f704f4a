"""How long all visits of the hoist to the left of a cut take together.

A visit begins with a crossing to the left and ends with the next one to the right. What is
known are least times between any two crossings. Each sum of such times in which every
crossing to the left is begun from once, and every one to the right ended at once, is as long
as the visits are together, give or take whole cycles; so the largest of these sums, an
assignment, is the least that they can take (duality of network flows; Ahuja, Magnanti and
Orlin 1993, Network Flows, chapter 9). Visits may have to wait for one another in ways that
none of them shows alone: that is where windows are paid for.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ...compiled import compiled, lean
from .arithmetic import later, least, slope, sooner
from .span import SCALE
from .zones import Ints

_FAR = 1 << 40


class Room(NamedTuple):
    """Arrays to work in, for as many visits as fit.

    Attributes
    ----------
    worth : array (visits, visits)
        Least ticks from a visit's beginning to another's end, at the longest cycle time.
    begin, end : array (visits + 1,)
        Dual prices of beginnings and ends.
    mate : array (visits + 1,)
        Which beginning each end is matched with.
    slack, way : array (visits + 1,)
        Of the search for a shortest augmenting path, and how it came there.
    seen : array (visits + 1,)
    begun : array (visits + 1,)
        Which beginnings are matched from the start, each with an end that it is best for.
    """

    worth: Ints
    begin: Ints
    end: Ints
    mate: Ints
    slack: Ints
    way: Ints
    seen: Ints
    begun: Ints


@compiled
def room(visits: int) -> Room:
    """Room for so many visits."""
    size = visits + 1
    return Room(
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
def together(gaps: Ints, room: Room, low: int, high: int, again: bool = False) -> int:
    """Least time that all visits take together; the assignment stays in `room.mate`.

    Parameters
    ----------
    gaps : array (crossings, crossings)
        Least times within one turn of the cycle; crossings go right and left in turn.
    low, high : int
        The span of cycle times.
    again : bool
        Whether the room is as it was left for these times when some were shorter.
    """
    visits = len(gaps) // 2
    for k in range(visits):
        for j in range(visits):
            gap = _time(gaps, k, j, low, high)
            room.worth[k, j] = least(gap) + max(-slope(gap), 0) * (high - low)
    if not again or not _still_best(visits, room):
        _assign(visits, room)
    return _sum(gaps, room, low, high)


@lean
def _time(gaps, k, j, low, high):  # type: ignore[no-untyped-def]
    """Least time from beginning k to end j.

    The cycle begins with the end of the visit that is its last.
    """
    gap = gaps[2 * k + 1, 2 * j]
    return later(gap, low, high) if j == 0 else gap


@lean
def _sum(gaps, room, low, high):  # type: ignore[no-untyped-def]
    total = 0
    for j in range(len(gaps) // 2):
        total += _time(gaps, room.mate[j], j, low, high)
    return total


@lean
def _still_best(visits, room):  # type: ignore[no-untyped-def]
    """Whether the prices say so: no time is longer than what they come to."""
    for k in range(visits):
        for j in range(visits):
            if room.worth[k, j] > -room.begin[k] - room.end[j]:
                return False
    return True


@lean
def _assign(visits, room):  # type: ignore[no-untyped-def]
    """The most valuable assignment, by shortest augmenting paths.

    After Kuhn (1955), Naval Research Logistics Quarterly 2, 83-97, with one beginning added
    at a time.
    """
    worth, begin, end, mate, slack, way, seen, begun = room
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
                        slack[j], way[j] = lacks, at
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
            mate[at] = mate[way[at]]
            at = way[at]


@lean
def hold(gaps: Ints, room: Room, other: int, low: int, high: int) -> bool:
    """Keep visits from taking more than the cycle leaves them; whether that says anything.

    Each time of the assignment is at most what is left when all others are at their least.

    Parameters
    ----------
    other : int
        Ticks of the cycle that the hoist needs for all else, at the least.
    """
    visits, new = len(gaps) // 2, False
    whole = _sum(gaps, room, low, high) + SCALE * other
    for j in range(visits):
        k = room.mate[j]
        # The others first: which cycle time is the worst depends on them.
        back = sooner(whole - _time(gaps, k, j, low, high), low, high)
        if j == 0:
            back = later(back, low, high)
        if back > gaps[2 * j, 2 * k + 1] + SCALE:
            gaps[2 * j, 2 * k + 1] = back
            new = True
    return new
