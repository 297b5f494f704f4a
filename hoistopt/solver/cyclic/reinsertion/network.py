"""The least times between any two moves that an order of some of them leaves, compiled.

A simple temporal network (Dechter, Meiri and Pearl 1991, Artificial Intelligence 49, 61-95): times
of moves that have to lie so far apart at the least. With the least times between any two known,
whether one more such condition can be kept is seen at once.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...compiled import lean
from ..annealing.chain import Ints
from .line import BLOCK, NEVER, Line, Tanks

NONE = np.int32(NEVER // 2)
"""Below it, there is no least time."""

MORE_CYCLES = 3
"""Cycles, over those of its minimum, that a dwell may last where others are not shut out by it."""

Times = NDArray[np.int32]


@lean
def set_longest(line: Line, tanks: Tanks, cycle: int, within: Ints) -> None:
    """Set by move the greatest time from the start of the move before, for a cycle time."""
    count = len(within)
    for move in range(count):
        if move != line.begins[move]:
            alone = line.slot[move, tanks.option[move]] >= 0
            # Where any number may stand, to stay for cycles more than it has to helps no one.
            cycles = 1 if alone else min(count, MORE_CYCLES + line.shortest[move] // cycle)
            room = cycles * cycle - tanks.gaps[move, move - 1]
            most = tanks.most[move]
            within[move] = room if most < 0 else min(most, room)


@lean
def follows(tanks: Tanks, order: Ints, size: int, wraps: Ints, cycle: int, place: int) -> Any:
    """Return the least time from a move of an order to the next, both counted on over cycles."""
    before = order[place]
    last = place + 1 == size
    after = order[0] if last else order[place + 1]
    return (
        tanks.gaps[before, after] + (wraps[after] - wraps[before]) * cycle - (cycle if last else 0)
    )


@lean
def set_network(
    times: Times, line: Line, tanks: Tanks, cycle: int, within: Ints, order: Ints, size: int,
    wraps: Ints,
) -> None:  # fmt: skip
    """Set the least times that are given: dwells of all moves, and the order of some of them."""
    count = len(within)
    for move in range(count):
        for other in range(times.shape[1]):
            times[move, other] = NEVER
    for move in range(count):
        times[move, move] = 0
        if move != line.begins[move]:
            times[move - 1, move] = tanks.least[move]
            times[move, move - 1] = -within[move]
    for place in range(size if size > 1 else 0):
        before, after = order[place], order[place + 1] if place + 1 < size else order[0]
        wait = follows(tanks, order, size, wraps, cycle, place)
        times[before, after] = max(times[before, after], wait)


@lean
def _by_way_of(times: Times, to: int, ahead: int, row: Times) -> None:
    """Take times to what a row leads to into account, for a move so far ahead of the row's."""
    for column in range(len(row)):
        wait = np.int32(ahead + row[column])
        known = times[to, column]
        times[to, column] = wait if wait > known else known


@lean
def close(times: Times, count: int, rows: Times) -> Any:
    """Work out the least times between any two moves (Floyd 1962, CACM 5(6), 345).

    By way of several moves at a time: that takes fewer passes over all the times.

    Parameters
    ----------
    rows : array (:data:`BLOCK`, columns)
        Room for the times from these.

    Returns
    -------
    bool
        Whether any times keep them all.
    """
    a, b, c, d = rows[0], rows[1], rows[2], rows[3]
    for first in range(0, count, BLOCK):
        end = min(first + BLOCK, count)
        for middle in range(first, end):
            for move in range(first, end):
                ahead = times[move, middle]
                if ahead > NONE and move != middle:
                    _by_way_of(times, move, ahead, times[middle])
            if times[middle, middle] > 0:
                return False
        for number in range(BLOCK):
            middle = min(first + number, end - 1)
            for column in range(rows.shape[1]):
                rows[number, column] = times[middle, column]
        for move in range(count):
            if first <= move < end:
                continue
            to_a, to_b = times[move, first], times[move, min(first + 1, end - 1)]
            to_c, to_d = times[move, min(first + 2, end - 1)], times[move, end - 1]
            if max(max(to_a, to_b), max(to_c, to_d)) <= NONE:
                continue
            for column in range(rows.shape[1]):
                wait = max(np.int32(to_a + a[column]), np.int32(to_b + b[column]))
                other = max(np.int32(to_c + c[column]), np.int32(to_d + d[column]))
                times[move, column] = max(times[move, column], max(wait, other))
    kept = True
    for move in range(count):
        kept &= times[move, move] <= 0
    return kept


@lean
def put_between(
    times: Times, then: Times, move: int, before: int, after: int, wait: int, next_wait: int,
    row: Times,
) -> None:  # fmt: skip
    """Work out the least times once a move comes after one and before another, which can be kept.

    Parameters
    ----------
    times : array (moves, columns)
        The least times till then.
    then : array (moves, columns)
        Set to those with it.
    wait, next_wait : int
        The least times from `before` to the move and from it to `after`.
    row : array (columns,)
        Room for the times from the move.
    """
    for column in range(len(row)):
        by_way = np.int32(next_wait + times[after, column])
        known = times[move, column]
        row[column] = by_way if by_way > known else known
    for some in range(len(times)):
        ahead = max(times[some, move], np.int32(times[some, before] + wait))
        for column in range(len(row)):
            by_way = np.int32(ahead + row[column])
            known = times[some, column]
            then[some, column] = by_way if by_way > known else known
