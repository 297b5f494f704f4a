"""Moves put back into an order of the others, compiled: where the cycle time leaves room for them.

The move with the fewest places comes next, at the roomiest one; where there is none, the last one
is tried elsewhere.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.random import Generator

from ...compiled import lean
from .line import Line, Space, Tanks
from .network import NONE, close, put_between, set_network

MOST_TRIES = 150
"""Moves put back before it is given up."""

NOISE = 2.0
"""A place counts as roomier by up to so many times the room it has."""

STALE = 0.2
"""The place from which a move was taken counts as having so much of its room: a quarter of all
tries would lead back to the order they began with."""


@lean
def _counted(move: int, put: int, at: int, size: int, wraps: int, space: Space) -> Any:
    """Return a move's place in the order, counted on over cycles, after one is put in."""
    if move == put:
        return wraps * (size + 1) + at + 1
    place = space.other_rank[move]
    return space.other_wraps[move] * (size + 1) + place + (1 if place > at else 0)


@lean
def _fits_tanks(
    line: Line, tanks: Tanks, move: int, at: int, size: int, wraps: int, space: Space
) -> Any:
    """Whether no two loads are in a tank at a time, as far as the order tells, after it is put in.

    Of the dwells before and after the move; in and out of one tank have to alternate.
    """
    round_ = size + 1
    for leaves in (move, move + 1):
        if leaves == move:
            if move == line.begins[move] or not space.kept[move - 1]:
                continue
        elif move == line.ends[move] or not space.kept[leaves]:
            continue
        came = _counted(leaves - 1, move, at, size, wraps, space)
        left = _counted(leaves, move, at, size, wraps, space)
        if left <= came:
            return False
        slot = line.slot[leaves, tanks.option[leaves]]
        for column in range(line.shared.shape[1] if slot >= 0 else 0):
            other = line.shared[leaves, column]
            if other < 0:
                break
            if line.slot[other, tanks.option[other]] != slot:
                continue
            if (other != move and not space.kept[other]) or (
                other - 1 != move and not space.kept[other - 1]
            ):
                continue
            other_came = _counted(other - 1, move, at, size, wraps, space)
            other_left = _counted(other, move, at, size, wraps, space)
            if (other_came - came) % round_ < left - came:
                return False
            if (came - other_came) % round_ < other_left - other_came:
                return False
    return True


@lean
def _waits(
    tanks: Tanks, move: int, before: int, wrap: int, cycle: int, size: int, space: Space
) -> Any:
    """Return the least times to a move that comes after another and on to the next, and that."""
    order, wraps, at = space.other_order, space.other_wraps, space.other_rank[before]
    last = at + 1 == size
    after = order[0] if last else order[at + 1]
    wait = tanks.gaps[before, move] + (wrap - wraps[before]) * cycle
    next_wait = tanks.gaps[move, after] + (wraps[after] - wrap) * cycle - (cycle if last else 0)
    return wait, next_wait, after


@lean
def _room(
    line: Line, tanks: Tanks, move: int, before: int, wrap: int, cycle: int, depth: int, size: int,
    space: Space,
) -> Any:  # fmt: skip
    """Return how long something has to wait at the most, where a move comes after another.

    Above 0 the move has no room there; the less the roomier.
    """
    times, at = space.networks[depth], space.other_rank[before]
    wait, next_wait, after = _waits(tanks, move, before, wrap, cycle, size, space)
    most = max(next_wait + times[after, move], wait + times[move, before])
    most = max(most, wait + next_wait + times[after, before])
    if most <= 0 and not _fits_tanks(line, tanks, move, at, size, wrap, space):
        return 1
    return most


@lean
def _list_all(tanks: Tanks, move: int, cycle: int, depth: int, size: int, space: Space) -> Any:
    """List all places between two moves where a move may go, as far as it is seen from the first.

    In the lists of the last number; return how many.
    """
    times, order, wraps = space.networks[depth], space.other_order, space.other_wraps
    befores, cycles = space.befores[-1, 0], space.cycles[-1, 0]
    count: Any = np.int64(0)  # no literal: compiled once
    for at in range(size):
        before, last = order[at], at + 1 == size
        after = order[0] if last else order[at + 1]
        if times[move, before] > NONE:
            high = (-times[move, before] - tanks.gaps[before, move]) // cycle
            low = high - 1
            next_gap = tanks.gaps[move, after] - (cycle if last else 0)
            if times[after, move] > NONE:
                # below, the next move would be too late
                lowest = next_gap + (wraps[after] - wraps[before]) * cycle + times[after, move]
                low = max(low, -(-lowest // cycle))
            low, high = low + wraps[before], high + wraps[before]
        else:
            low = high = 0  # it may be at any time, so in this cycle
        for wrap in range(high, low - 1, -1):
            if count < len(befores):
                befores[count], cycles[count] = before, wrap
                count += 1
    return count


@lean
def _sift(
    line: Line, tanks: Tanks, cycle: int, depth: int, number: int, size: int, put: int,
    space: Space,
) -> None:  # fmt: skip
    """List where a move may go, of the places where it could go before another was put back.

    What has no room somewhere has none there once more moves are in. Only a load none of whose
    moves was in begins anew.

    Parameters
    ----------
    number : int
        The move's, among those taken out.
    put : int
        The move put back last, -1 for none.
    """
    move = space.out[number]
    known, which, split = depth - 1, number, -1
    if put < 0 or not space.linked[known, number]:
        known, which = len(space.befores) - 1, 0
        space.found[known, which] = _list_all(tanks, move, cycle, depth, size, space)
    else:  # the place in which the other was put has become two
        split = space.other_order[space.other_rank[put] - 1]
    count = 0
    for place in range(space.found[known, which]):
        before, wrap = space.befores[known, which, place], space.cycles[known, which, place]
        for turn in range(2 if before == split else 1):
            first = put if turn > 0 else before
            most = _room(line, tanks, move, first, wrap, cycle, depth, size, space)
            if most <= 0 and count < space.befores.shape[2]:
                space.befores[depth, number, count] = first
                space.cycles[depth, number, count] = wrap
                space.prices[depth, number, count] = max(most, -cycle)
                count += 1
    space.found[depth, number] = count
    space.linked[depth, number] = space.networks[depth, move, space.other_order[0]] > NONE


@lean
def put_back(
    line: Line, tanks: Tanks, cycle: int, size: int, count: int, space: Space, rng: Generator
) -> Any:
    """Put all moves taken out back into the order of the others, within a cycle time.

    Parameters
    ----------
    size, count : int
        Moves in the order, and out of it.

    Returns
    -------
    bool
        Whether there was room for all, or none was found.
    """
    order, wraps, rank = space.other_order, space.other_wraps, space.other_rank
    moves = len(order)
    set_network(space.networks[0], line, tanks, cycle, space.within, order, size, wraps)
    if not close(space.networks[0], moves, space.rows):
        return False
    for place in range(size):
        rank[order[place]] = place
    depth: Any = np.int64(0)  # no literal: compiled once
    put: Any = np.int64(-1)
    tries, fresh = 0, True
    while depth < count or not fresh:
        if fresh:
            _choose(line, tanks, cycle, depth, size, count, put, space, rng)
        if tries >= MOST_TRIES:
            return False
        if space.left[depth] == 0:
            if depth == 0:
                return False
            depth -= 1
            at = space.taken[depth] + 1
            space.kept[order[at]] = False
            size -= 1
            for place in range(at, size):
                order[place] = order[place + 1]
                rank[order[place]] = place
            fresh = False
            continue
        _put(tanks, cycle, depth, size, space)
        put = space.out[space.chosen[depth]]
        size += 1
        depth += 1
        tries += 1
        fresh = True
    return True


@lean
def _choose(
    line: Line, tanks: Tanks, cycle: int, depth: int, size: int, count: int, put: int,
    space: Space, rng: Generator,
) -> None:  # fmt: skip
    """Choose the move that is put back next, and how roomy its places count as."""
    chosen = -1
    for number in range(count):
        if space.kept[space.out[number]]:
            continue
        _sift(line, tanks, cycle, depth, number, size, put, space)
        if chosen < 0 or space.found[depth, number] < space.found[depth, chosen]:
            chosen = number
            if space.found[depth, number] == 0:
                break
    space.chosen[depth], space.left[depth] = chosen, space.found[depth, chosen]
    move = space.out[chosen]
    was_after = _was_after(move, space)
    for place in range(space.left[depth]):
        stale = (
            space.befores[depth, chosen, place] == was_after
            and space.cycles[depth, chosen, place] == space.wraps[move]
        )
        space.prices[depth, chosen, place] *= (1 + NOISE * rng.random()) * (STALE if stale else 1)


@lean
def _was_after(move: int, space: Space) -> Any:
    """Return the move before one in the present order, of those not out now; -1 where all are."""
    count = len(space.order)
    for step in range(1, count):
        before = space.order[(space.rank[move] - step) % count]
        if space.kept[before]:
            return before
    return -1


@lean
def _put(tanks: Tanks, cycle: int, depth: int, size: int, space: Space) -> None:
    """Put the move chosen at the roomiest place left, and take what follows into account."""
    number, last = space.chosen[depth], space.left[depth] - 1
    move = space.out[number]
    befores, cycles = space.befores[depth, number], space.cycles[depth, number]
    prices = space.prices[depth, number]
    order, wraps, rank = space.other_order, space.other_wraps, space.other_rank
    best = 0
    for place in range(1, last + 1):
        if prices[place] < prices[best]:
            best = place
    before, wrap = befores[best], cycles[best]
    befores[best], cycles[best], prices[best] = befores[last], cycles[last], prices[last]
    space.left[depth] = last
    wait, next_wait, after = _waits(tanks, move, before, wrap, cycle, size, space)
    put_between(
        space.networks[depth], space.networks[depth + 1], move, before, after, wait, next_wait,
        space.rows[0],
    )  # fmt: skip
    at = rank[before]
    for place in range(size, at + 1, -1):
        order[place] = order[place - 1]
        rank[order[place]] = place
    order[at + 1], rank[move] = move, at + 1
    wraps[move], space.kept[move] = wrap, True
    space.taken[depth] = at
