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
from .network import NONE, close, hold_apart, set_network

MOST_TRIES = 60
"""Moves put back before it is given up."""

NOISE = 2.0
"""A place counts as roomier by up to so many times the room it has."""


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
def _find_places(
    line: Line, tanks: Tanks, move: int, cycle: int, depth: int, size: int, most: int,
    space: Space, rng: Generator, to: int,
) -> Any:  # fmt: skip
    """Set where a move may be put back, and how roomy that is; return how many, at most so many."""
    times, order, wraps = space.networks[depth], space.other_order, space.other_wraps
    slots, cycles, prices = space.slots[to], space.cycles[to], space.prices[to]
    count, moves = 0, len(order)
    for at in range(size):
        before, last = order[at], at + 1 == size
        after = order[0] if last else order[at + 1]
        gap, next_gap = tanks.gaps[before, move], tanks.gaps[move, after] - (cycle if last else 0)
        if times[move, before] > NONE:
            high = wraps[before] + (-times[move, before] - gap) // cycle
            low = high - 1
        elif times[before, move] > NONE:
            low, high = wraps[before] - 1, wraps[before] + moves
        else:
            low = high = 0  # it may be at any time, so in this cycle
        for wrap in range(high, low - 1, -1):
            wait = gap + (wrap - wraps[before]) * cycle
            next_wait = next_gap + (wraps[after] - wrap) * cycle
            over = next_wait + times[after, move]
            if over > 0 and times[after, move] > NONE:
                break
            over = max(over, wait + times[move, before])
            over = max(over, wait + next_wait + times[after, before])
            if over > 0 or not _fits_tanks(line, tanks, move, at, size, wrap, space):
                continue
            slots[count], cycles[count] = at, wrap
            prices[count] = max(over, -cycle) * (1 + NOISE * rng.random())
            count += 1
            if count >= most or count == len(slots):
                return count
    return count


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
    if not close(space.networks[0], moves, space.row):
        return False
    for place in range(size):
        rank[order[place]] = place
    depth: Any = np.int64(0)  # no literal: compiled once
    tries, fresh = 0, True
    while depth < count or not fresh:
        if fresh:
            _choose(line, tanks, cycle, depth, size, count, space, rng)
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
        size += 1
        depth += 1
        tries += 1
        fresh = True
    return True


@lean
def _choose(
    line: Line, tanks: Tanks, cycle: int, depth: int, size: int, count: int, space: Space,
    rng: Generator,
) -> None:  # fmt: skip
    """Choose the move that is put back next, and set where it may go."""
    fewest = space.slots.shape[1] + 1
    for number in range(count):
        move = space.out[number]
        if space.kept[move]:
            continue
        found = _find_places(
            line, tanks, move, cycle, depth, size, fewest, space, rng, len(space.slots) - 1
        )
        if found < fewest:
            fewest = found
            space.left[depth], space.chosen[depth] = found, move
            for place in range(found):
                space.slots[depth, place] = space.slots[-1, place]
                space.cycles[depth, place] = space.cycles[-1, place]
                space.prices[depth, place] = space.prices[-1, place]
            if fewest <= 1:
                break


@lean
def _put(tanks: Tanks, cycle: int, depth: int, size: int, space: Space) -> None:
    """Put the move chosen at the roomiest place left, and take what follows into account."""
    slots, cycles, prices = space.slots[depth], space.cycles[depth], space.prices[depth]
    order, wraps, rank = space.other_order, space.other_wraps, space.other_rank
    last, best = space.left[depth] - 1, 0
    for place in range(1, last + 1):
        if prices[place] < prices[best]:
            best = place
    at, wrap, move = slots[best], cycles[best], space.chosen[depth]
    slots[best], cycles[best], prices[best] = slots[last], cycles[last], prices[last]
    space.left[depth] = last
    times, now = space.networks[depth + 1], space.networks[depth]
    for some in range(times.shape[0]):
        for other in range(times.shape[1]):
            times[some, other] = now[some, other]
    before, ends = order[at], at + 1 == size
    after = order[0] if ends else order[at + 1]
    wait = tanks.gaps[before, move] + (wrap - wraps[before]) * cycle
    hold_apart(times, len(order), before, move, wait, space.row)
    wait = tanks.gaps[move, after] + (wraps[after] - wrap) * cycle - (cycle if ends else 0)
    hold_apart(times, len(order), move, after, wait, space.row)
    for place in range(size, at + 1, -1):
        order[place] = order[place - 1]
        rank[order[place]] = place
    order[at + 1], rank[move] = move, at + 1
    wraps[move], space.kept[move] = wrap, True
    space.taken[depth] = at
