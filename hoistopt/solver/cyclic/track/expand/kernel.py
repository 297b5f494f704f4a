"""Expand states by transitions, compiled: the innermost loop of a pass."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ....compiled import compiled, compiled_long, lean, padded
from ..bounds.aligned import AlignedBounds
from ..bounds.visits import Workspace, limit_visits, total_time, workspace
from ..layers.states import StateArrays
from ..times.arithmetic import minimum, minus_cycle, plus_cycle, plus_cycles, positive
from ..times.span import NO_BOUND, SCALE, Ints
from ..transitions.batch import ArcTable
from ..transitions.crossings import EMPTY
from .successors import NextCut
from .tighten import tighten


@compiled_long
def expand(
    states: StateArrays,
    begin: int,
    end: int,
    arcs: ArcTable,
    cut: NextCut,
    bounds: AlignedBounds,
    floor: int,
    low: int,
    high: int,
) -> tuple[int, Ints, Ints, Ints, Ints]:
    """Expand the states from `begin` up to `end` by all transitions of a batch.

    Parameters
    ----------
    states : StateArrays
        At the cut on the left of a station.
    arcs : ArcTable
        The transitions.
    cut : NextCut
        The cut on the right of the station.
    bounds : AlignedBounds
        Completion bounds at that cut.
    floor : int
        Minimum ticks of the hoist right of that cut for any of the transitions.
    low, high : int
        The span of cycle times, in ticks.

    Returns
    -------
    examined : int
        How many pairs of a state and a transition were examined: those whose costs fit.
    state, case : array (found,)
        The pairs that are possible: number of the state, and case of `cut`.
    cost : array (found,)
        Of the new states.
    separation : array (found, crossings * crossings)
        Of the new states, by pairs as in `StateTable`; columns to spare are not set.
    """
    count, crossings = arcs.variables, cut.seen.shape[1]
    most = (end - begin) * len(arcs.cost)
    out = _Found(
        np.empty(most, np.int32),
        np.empty(most, np.int32),
        np.empty(most, np.int64),
        np.empty((most, crossings * crossings), np.int32),
    )
    scratch = _Scratch(
        np.empty(len(arcs.length), np.int64),
        _no_bounds(count),
        _no_bounds(count),
        np.empty(padded(count), np.int32),
        np.empty(padded(count), np.int32),
        _no_bounds(crossings),
        np.empty(padded(crossings), np.int32),
        workspace(crossings // 2),
    )
    examined, found = _expand(states, begin, end, arcs, cut, bounds, floor, low, high, scratch, out)
    return (
        examined,
        out.state[:found].copy(),
        out.case[:found].copy(),
        out.cost[:found].copy(),
        out.separation[:found].copy(),
    )


class _Found(NamedTuple):
    """Arrays for what :func:`expand` returns, as long as could be needed."""

    state: Ints
    case: Ints
    cost: Ints
    separation: Ints


class _Scratch(NamedTuple):
    """Arrays to work in. Columns to spare make rows whole eights; they are never looked at.

    Attributes
    ----------
    length : array (arcs,)
        Lengths of the arcs less their heights' cycle times, packed for the span.
    base, times : array (variables, at least variables)
        Separations of variables: of a state, and after a transition.
    until, since : array (at least variables,)
        Separations to one event from the others, and from it to them.
    separation : array (crossings, at least crossings)
        Of the crossings of the right cut.
    around : array (at least crossings,)
        A row of it.
    visits : Workspace
    """

    length: Ints
    base: Ints
    times: Ints
    until: Ints
    since: Ints
    separation: Ints
    around: Ints
    visits: Workspace


@compiled
def _no_bounds(count):  # type: ignore[no-untyped-def]
    """Return a matrix of so many events without any separations."""
    return np.full((count, padded(count)), NO_BOUND, np.int32)


@lean
def _expand(states, begin, end, arcs, cut, bounds, floor, low, high, scratch, out):  # type: ignore[no-untyped-def]
    """Run the loop of :func:`expand`; return how many pairs were examined, and found possible.

    For each pair the cheap tests come first: costs, arcs of the transition, completion bounds,
    and the time of all visits last.
    """
    transitions = len(arcs.cost)
    length, base, times, until, since, separation, around, space = scratch
    for k in range(len(length)):
        length[k] = plus_cycles(SCALE * arcs.length[k], -arcs.height[k], low, high)
    examined = found = 0
    for state in range(begin, end):
        base[:] = NO_BOUND
        for x in range(arcs.old):
            base[x, x] = 0
        for pair in range(len(states.tail)):
            x, y = states.tail[pair], states.head[pair]
            time = states.separation[state, pair]
            base[x, y] = minus_cycle(time, low, high) if x > y else time
        for transition in range(transitions):
            case = states.passing[state] * transitions + transition
            cost = states.cost[state] + arcs.cost[transition]
            if cost + floor > high:
                continue
            examined += 1
            if cost + cut.rest[case] > high:
                continue
            if not tighten(base, times, arcs, length, transition, until, since):
                continue
            _cut_separations(separation, times, cut, case, low, high)
            if not _complete(separation, cut, bounds, case, high - cost, around):
                continue
            load, rest = cut.load[case], cut.rest[case]
            cost, left = _hoist_time(separation, space, load, cost, low, high, False)
            if left < rest:
                continue
            if limit_visits(separation, space, load + rest, low, high):
                if not _complete(separation, cut, bounds, case, left, around):
                    continue
                cost, left = _hoist_time(separation, space, load, cost, low, high, True)
                if left < rest:
                    continue
            out.state[found], out.case[found], out.cost[found] = state, case, cost
            _store(out.separation, found, separation, cut.seen, case, low, high)
            found += 1
    return examined, found


@lean
def _cut_separations(separation, times, cut, case, low, high):  # type: ignore[no-untyped-def]
    """Set the separations of the right cut's crossings within one turn of the cycle."""
    count = len(separation)
    separation[:] = NO_BOUND
    for x in range(count):
        if x % 2 == 0 and cut.seen[case, x] == EMPTY:
            continue
        variable, offset = cut.variable[case, x], cut.offset[case, x]
        own = cut.height[case, x]
        for y in range(count):
            if y % 2 == 1 and cut.seen[case, y] == EMPTY:
                continue
            time = times[variable, cut.variable[case, y]] + (cut.offset[case, y] - offset)
            height = cut.height[case, y] - own
            separation[x, y] = time if height == 0 else plus_cycles(time, height, low, high)


@lean
def _complete(separation, cut, bounds, case, left, around):  # type: ignore[no-untyped-def]
    """Add completion bounds to separations; return whether any completion can be possible.

    Parameters
    ----------
    left : int
        Ticks of the hoist that the right of the cut may take: they select the step of the
        bounds.
    """
    count = len(separation)
    for x in range(0, count, 2):
        separation[x, x + 1] = max(separation[x, x + 1], cut.between[case, x // 2])
    known = cut.known[case]
    if known >= 0:
        begin = bounds.begin[known]
        after = begin + np.searchsorted(
            bounds.rest[begin : bounds.begin[known + 1]], left, side="right"
        )
        step = max(after - 1, begin)
        for x in range(count):
            for y in range(len(around)):
                separation[x, y] = max(separation[x, y], bounds.separation[step, x, y])
    for x in range(count):
        for y in range(x + 1):
            if positive(separation[x, y] + separation[y, x] if x != y else separation[x, x]):
                return False
    # All that follows (after Floyd and Warshall).
    for k in range(count):
        if positive(separation[k, k]):  # over events before k; each circuit has a last one
            return False
        for y in range(len(around)):
            around[y] = separation[k, y]
        for x in range(count):
            went = separation[x, k]
            for y in range(len(around)):
                separation[x, y] = max(separation[x, y], np.int32(went + around[y]))
    return True


@lean
def _hoist_time(separation, space, load, cost, low, high, warm):  # type: ignore[no-untyped-def]
    """Return the hoist's minimum ticks on the left, and the ticks of a cycle that are left over.

    The first is `cost` at least. Both hold at every cycle time of the span.
    """
    visits = total_time(separation, space, low, high, warm) + SCALE * load
    cost = max(cost, minimum(visits))
    return cost, min(high - cost, -minimum(minus_cycle(visits, low, high)))


@lean
def _store(out, place, separation, seen, case, low, high):  # type: ignore[no-untyped-def]
    """Write separations of a new state, in the order of `states.separated_pairs`."""
    count, at = len(separation), 0
    for x in range(count):
        if x % 2 == 0 or seen[case, x] != EMPTY:
            for y in range(count):
                if x != y and (y % 2 == 1 or seen[case, y] != EMPTY):
                    time = separation[y, x]
                    out[place, at] = plus_cycle(time, low, high) if y > x else time
                    at += 1
