"""What a way to serve a station makes of a row: the least times that its links add."""

from __future__ import annotations

import numpy as np

from ...compiled import lean
from .arithmetic import impossible
from .arrays import Links
from .zones import NOTHING, Ints


@lean
def link(
    base: Ints, times: Ints, links: Links, time: Ints, way: int, until: Ints, since: Ints
) -> bool:
    """Least times between variables as a way makes them of a row; whether there are any.

    Parameters
    ----------
    base, times : array (variables, at least variables)
        Of the row, and with the way; `times` is written to.
    time : array (links,)
        The times of links for the span of cycle times.
    until, since : array (at least variables,)
        To work with.
    """
    old, part = links.old, links.part[way]
    for k in range(part[0], part[1]):
        if impossible(base[links.end[k], links.start[k]] + time[k]):
            return False
    if not _fits_between(base, links, time, part):
        return False
    for x in range(old):
        for y in range(len(until)):
            times[x, y] = base[x, y]
    for k in range(part[0], part[1]):
        for x in range(old):
            until[x] = times[x, links.start[k]] + time[k]
            since[x] = times[links.end[k], x]
        if not _follow(times, until, since, old):
            return False
    for v in range(old, links.variables):
        kind = 1 + 2 * (v - old)
        until[:v] = NOTHING
        since[:v] = NOTHING
        for k in range(part[kind], part[kind + 1]):
            x = links.start[k]
            for y in range(v):
                until[y] = max(until[y], np.int32(times[y, x] + time[k]))
        for k in range(part[kind + 1], part[kind + 2]):
            x = links.end[k]
            for y in range(v):
                since[y] = max(since[y], np.int32(times[x, y] + time[k]))
        if not _follow(times, until, since, v):
            return False
        own = 0
        for x in range(v):
            times[x, v] = until[x]
            times[v, x] = since[x]
            own = max(own, until[x] + since[x])
        times[v, v] = own
    return True


@lean
def _fits_between(base, links, time, part):  # type: ignore[no-untyped-def]
    """Whether every new variable fits between old ones, looked at alone.

    Rarely true; so most of the work is not done.
    """
    old = links.old
    for v in range(old, links.variables):
        kind = 1 + 2 * (v - old)
        for before in range(part[kind], part[kind + 1]):
            for after in range(part[kind + 1], part[kind + 2]):
                x, y = links.start[before], links.end[after]
                if x < old and y < old and impossible(time[before] + time[after] + base[y, x]):
                    return False
    return True


@lean
def _follow(times, until, since, count):  # type: ignore[no-untyped-def]
    """What follows from ways to something and on from it; whether it is possible."""
    back = np.int32(NOTHING)
    for x in range(count):
        back = max(back, np.int32(until[x] + since[x]))
    if impossible(back):
        return False
    for x in range(count):
        went = until[x]
        for y in range(len(since)):
            times[x, y] = max(times[x, y], np.int32(went + since[y]))
    return True
