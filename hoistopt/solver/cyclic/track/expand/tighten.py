"""Tighten the separations of a state by a transition."""

from __future__ import annotations

import numpy as np

from ....compiled import lean
from ..times.arithmetic import positive
from ..times.span import NO_BOUND, Ints
from ..transitions.batch import ArcTable


@lean
def tighten(
    base: Ints, times: Ints, arcs: ArcTable, length: Ints, transition: int, until: Ints, since: Ints
) -> bool:
    """Tighten a state's separation matrix by one transition; False if that is infeasible.

    Arcs are added one after another, each with all that follows from it, as when a node or an
    arc is added to a table of longest paths between all pairs.

    Parameters
    ----------
    base : array (variables, at least variables)
        Packed separations of the crossings of the left cut, all that follows added.
    times : array (variables, at least variables)
        Written to: the separations of all variables of the transition.
    arcs : ArcTable
    length : array (arcs,)
        Lengths of the arcs less their heights' cycle times, packed.
    transition : int
        Which of the batch.
    until, since : array (at least variables,)
        To work with.

    Returns
    -------
    bool
        False if some circuit is positive at every cycle time of the span. `times` is then of
        no use.
    """
    old, part = arcs.old, arcs.part[transition]
    # An arc between two crossings of the left cut closes a circuit with the way back.
    for k in range(part[0], part[1]):
        if positive(base[arcs.head[k], arcs.tail[k]] + length[k]):
            return False
    if not _fits_between(base, arcs, length, part):
        return False
    # What follows at the left cut alone, to begin with.
    for x in range(old):
        for y in range(len(until)):
            times[x, y] = base[x, y]
    # Its crossings, one arc at a time: `until` are the longest paths to the head of the arc that
    # end with it, `since` those on from there.
    for k in range(part[0], part[1]):
        for x in range(old):
            until[x] = times[x, arcs.tail[k]] + length[k]
            since[x] = times[arcs.head[k], x]
        if not _propagate(times, until, since, old):
            return False
    # The new variables, one at a time: `until` and `since` are the longest paths from each older
    # one to it, and from it to each. First the older ones are tightened through it, then it joins
    # them.
    for v in range(old, arcs.variables):
        kind = 1 + 2 * (v - old)
        until[:v] = NO_BOUND
        since[:v] = NO_BOUND
        for k in range(part[kind], part[kind + 1]):
            x = arcs.tail[k]
            for y in range(v):
                until[y] = max(until[y], np.int32(times[y, x] + length[k]))
        for k in range(part[kind + 1], part[kind + 2]):
            x = arcs.head[k]
            for y in range(v):
                since[y] = max(since[y], np.int32(times[x, y] + length[k]))
        if not _propagate(times, until, since, v):
            return False
        own = 0
        for x in range(v):
            times[x, v] = until[x]
            times[v, x] = since[x]
            own = max(own, until[x] + since[x])
        times[v, v] = own
    return True


@lean
def _fits_between(base, arcs, length, part):  # type: ignore[no-untyped-def]
    """Return whether each new variable, taken alone, fits between the old ones.

    It rarely does, which saves most of the work.
    """
    old = arcs.old
    for v in range(old, arcs.variables):
        kind = 1 + 2 * (v - old)
        for before in range(part[kind], part[kind + 1]):
            for after in range(part[kind + 1], part[kind + 2]):
                x, y = arcs.tail[before], arcs.head[after]
                if x < old and y < old and positive(length[before] + length[after] + base[y, x]):
                    return False
    return True


@lean
def _propagate(times, until, since, count):  # type: ignore[no-untyped-def]
    """Add all paths through one event, given those to it and from it; False if infeasible."""
    back = np.int32(NO_BOUND)
    for x in range(count):
        back = max(back, np.int32(until[x] + since[x]))
    if positive(back):
        return False
    for x in range(count):
        went = until[x]
        for y in range(len(since)):
            times[x, y] = max(times[x, y], np.int32(went + since[y]))
    return True
