"""Serve a station: every row at the cut on its left in every way, compiled."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ...compiled import compiled, lean, padded
from .arithmetic import impossible, later, least, moved, sooner
from .arrays import Facing, Links, Right, Rows
from .link import link
from .span import SCALE
from .visits import Room, hold, room, together
from .ways import EMPTY
from .zones import NOTHING, Ints


@compiled
def serve(
    rows: Rows,
    begin: int,
    end: int,
    links: Links,
    right: Right,
    facing: Facing,
    floor: int,
    low: int,
    high: int,
) -> tuple[int, Ints, Ints, Ints, Ints]:
    """Serve the station for rows from `begin` up to `end`.

    Parameters
    ----------
    floor : int
        Least time on the right, whatever is known of it.
    low, high : int
        The span of cycle times.

    Returns
    -------
    seen : int
        How many rows and ways went together by cost.
    row, way : array (found,)
        Which of them are possible; `way` counts as in `Right`.
    cost : array (found,)
    apart : array (found, crossings * crossings)
        As in a front, filled up at the end.
    """
    count, crossings = links.variables, right.seen.shape[1]
    most = (end - begin) * len(links.cost)
    out = _Found(
        np.empty(most, np.int32),
        np.empty(most, np.int32),
        np.empty(most, np.int64),
        np.empty((most, crossings * crossings), np.int32),
    )
    desk = _Desk(
        np.empty(len(links.time), np.int64),
        _nothing(count),
        _nothing(count),
        np.empty(padded(count), np.int32),
        np.empty(padded(count), np.int32),
        _nothing(crossings),
        np.empty(padded(crossings), np.int32),
        room(crossings // 2),
    )
    looked, found = _serve(rows, begin, end, links, right, facing, floor, low, high, desk, out)
    return (
        looked,
        out.row[:found].copy(),
        out.way[:found].copy(),
        out.cost[:found].copy(),
        out.apart[:found].copy(),
    )


class _Found(NamedTuple):
    """Room for what is possible; as :func:`serve` returns it."""

    row: Ints
    way: Ints
    cost: Ints
    apart: Ints


class _Desk(NamedTuple):
    """Arrays to work with.

    Attributes
    ----------
    time : array (links,)
        The times of links for the span.
    base, times : array (variables, at least variables)
        Least times between variables: of a row, and with a way.
    until, since : array (at least variables,)
        Least times to a new variable, and from it.
    gaps : array (crossings, at least crossings)
        Least times between crossings of the right cut.
    around : array (at least crossings,)
    visits : Room
    """

    time: Ints
    base: Ints
    times: Ints
    until: Ints
    since: Ints
    gaps: Ints
    around: Ints
    visits: Room


@compiled
def _nothing(count):  # type: ignore[no-untyped-def]
    """No times between so many events yet; the columns to spare are never looked at."""
    return np.full((count, padded(count)), NOTHING, np.int32)


@lean
def _serve(rows, begin, end, links, right, facing, floor, low, high, desk, out):  # type: ignore[no-untyped-def]
    """The loop of :func:`serve`: how many went together, and how many are possible."""
    ways = len(links.cost)
    time, base, times, until, since, gaps, around, space = desk
    for k in range(len(time)):
        time[k] = moved(SCALE * links.time[k], -links.turns[k], low, high)
    looked = found = 0
    for row in range(begin, end):
        base[:] = NOTHING
        for x in range(links.old):
            base[x, x] = 0
        for pair in range(len(rows.start)):
            x, y = rows.start[pair], rows.end[pair]
            gap = rows.apart[row, pair]
            base[x, y] = sooner(gap, low, high) if x > y else gap
        for way in range(ways):
            case = rows.passing[row] * ways + way
            cost = rows.cost[row] + links.cost[way]
            if cost + floor > high:
                continue
            looked += 1
            if cost + right.rest[case] > high:
                continue
            if not link(base, times, links, time, way, until, since):
                continue
            _cross(gaps, times, right, case, low, high)
            if not _look_beyond(gaps, right, facing, case, high - cost, around):
                continue
            load, rest = right.load[case], right.rest[case]
            cost, left = _used(gaps, space, load, cost, low, high, False)
            if left < rest:
                continue
            if hold(gaps, space, load + rest, low, high):
                if not _look_beyond(gaps, right, facing, case, left, around):
                    continue
                cost, left = _used(gaps, space, load, cost, low, high, True)
                if left < rest:
                    continue
            out.row[found], out.way[found], out.cost[found] = row, case, cost
            _put_down(out.apart, found, gaps, right.seen, case, low, high)
            found += 1
    return looked, found


@lean
def _cross(gaps, times, right, case, low, high):  # type: ignore[no-untyped-def]
    """Least times between crossings in one turn of the cycle."""
    count = len(gaps)
    gaps[:] = NOTHING
    for x in range(count):
        if x % 2 == 0 and right.seen[case, x] == EMPTY:
            continue
        variable, offset = right.variable[case, x], right.offset[case, x]
        turn = right.turn[case, x]
        for y in range(count):
            if y % 2 == 1 and right.seen[case, y] == EMPTY:
                continue
            gap = times[variable, right.variable[case, y]] + (right.offset[case, y] - offset)
            turns = right.turn[case, y] - turn
            gaps[x, y] = gap if turns == 0 else moved(gap, turns, low, high)


@lean
def _look_beyond(gaps, right, facing, case, left, around):  # type: ignore[no-untyped-def]
    """Add what must happen on the right; whether that is possible in the time left for it."""
    count = len(gaps)
    for x in range(0, count, 2):
        gaps[x, x + 1] = max(gaps[x, x + 1], right.between[case, x // 2])
    known = right.known[case]
    if known >= 0:
        begin = facing.begin[known]
        after = begin + np.searchsorted(
            facing.rest[begin : facing.begin[known + 1]], left, side="right"
        )
        step = max(after - 1, begin)
        for x in range(count):
            for y in range(len(around)):
                gaps[x, y] = max(gaps[x, y], facing.gaps[step, x, y])
    for x in range(count):
        for y in range(x + 1):
            if impossible(gaps[x, y] + gaps[y, x] if x != y else gaps[x, x]):
                return False
    # All that follows (Floyd and Warshall).
    for k in range(count):
        if impossible(gaps[k, k]):  # by way of those before it: all chains have a last
            return False
        for y in range(len(around)):
            around[y] = gaps[k, y]
        for x in range(count):
            went = gaps[x, k]
            for y in range(len(around)):
                gaps[x, y] = max(gaps[x, y], np.int32(went + around[y]))
    return True


@lean
def _used(gaps, space, load, cost, low, high, again):  # type: ignore[no-untyped-def]
    """What the left takes at the least, at least `cost`, and what of a cycle that leaves."""
    visits = together(gaps, space, low, high, again) + SCALE * load
    cost = max(cost, least(visits))
    return cost, min(high - cost, -least(sooner(visits, low, high)))


@lean
def _put_down(apart, place, gaps, seen, case, low, high):  # type: ignore[no-untyped-def]
    """Write least times from incoming to outgoing crossings, in the order of `front.pairs`."""
    count, at = len(gaps), 0
    for x in range(count):
        if x % 2 == 0 or seen[case, x] != EMPTY:
            for y in range(count):
                if x != y and (y % 2 == 1 or seen[case, y] != EMPTY):
                    gap = gaps[y, x]
                    apart[place, at] = later(gap, low, high) if y > x else gap
                    at += 1
