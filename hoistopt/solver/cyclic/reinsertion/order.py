"""The least cycle of an order of moves, and what keeps it from being shorter, compiled."""

from __future__ import annotations

from typing import Any

from ...compiled import lean
from ..annealing.chain import Ints
from .line import Line, Space, Tanks
from .network import follows, set_longest

_STEPS = 256
"""As a part of the longest cycle time, the first step down to the least."""

_LOOK_FROM = 4
"""Passes over all moves, after which what cannot be kept is looked for."""


@lean
def keep_order(line: Line, tanks: Tanks, cycle: int, order: Ints, wraps: Ints, space: Space) -> Any:
    """Set times that keep an order of all moves in a cycle time, and the move each comes from.

    Bellman (1958, Quarterly of Applied Mathematics 16(1), 87-90), forward and back by turns.

    Returns
    -------
    int
        -1, or a move of a circle that cannot be kept.
    """
    count = len(order)
    times, came_from, marks, within = space.times, space.came_from, space.marks, space.within
    set_longest(line, tanks, cycle, within)
    for move in range(count):
        times[move], came_from[move] = 0, -1
    for passes in range(count + 1):
        changed = False
        for place in range(count):
            before, move = order[place], order[place + 1] if place + 1 < count else order[0]
            soonest = times[before] + follows(tanks, order, count, wraps, cycle, place)
            if soonest > times[move]:
                times[move], came_from[move], changed = soonest, before, True
            if move != line.begins[move]:
                soonest = times[move - 1] + tanks.least[move]
                if soonest > times[move]:
                    times[move], came_from[move], changed = soonest, move - 1, True
        for move in range(count - 1, -1, -1):
            if move != line.begins[move]:
                soonest = times[move] - within[move]
                if soonest > times[move - 1]:
                    times[move - 1], came_from[move - 1], changed = soonest, move, True
        if not changed:
            return -1
        if passes < _LOOK_FROM:
            continue
        for move in range(count):
            marks[move] = 0
        for first in range(count):
            move = first
            while move >= 0 and marks[move] == 0:
                marks[move] = first + 1
                move = came_from[move]
            if move >= 0 and marks[move] == first + 1:
                return move
    return order[0]


@lean
def least_cycle_of(
    line: Line, tanks: Tanks, cycle: int, lowest: int, order: Ints, wraps: Ints, space: Space
) -> Any:
    """Return the least cycle time of an order, at most so long; -1 where that does not keep it.

    By bisection, at first by longer and longer steps down from the longest, which it is near to.
    """
    low, high, middle = lowest, cycle + 1, cycle
    step, down = max(1, cycle // _STEPS), True
    while low < high:
        if keep_order(line, tanks, middle, order, wraps, space) < 0:
            high = middle
        else:
            low, down = middle + 1, False
        middle = max(low, high - step) if down else (low + high) // 2
        step *= 2
    return high if high <= cycle else -1


@lean
def find_critical(
    line: Line, tanks: Tanks, cycle: int, order: Ints, wraps: Ints, space: Space
) -> Any:
    """Set the moves that keep a cycle from being a tick shorter; return how many they are."""
    first = keep_order(line, tanks, cycle - 1, order, wraps, space)
    if first < 0:
        return 0
    count, move = 0, first
    while move >= 0 and count < len(order):
        space.critical[count] = move
        count += 1
        move = space.came_from[move]
        if move == first:
            break
    return count
