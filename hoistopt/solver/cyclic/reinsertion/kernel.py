"""Moves taken out and put back by turns, at one temperature, compiled."""

from __future__ import annotations

import numpy as np
from numpy.random import Generator

from ...compiled import lean, lean_long
from ..annealing.chain import Ints
from .insertion import put_back
from .line import Line, Space
from .network import longest_dwells
from .order import find_critical, keep_order, least_cycle_of
from .removal import take_out


@lean_long
def reinsert(
    line: Line,
    starts: Ints,
    cycle: int,
    lowest: int,
    temperature: float,
    tries: int,
    rng: Generator,
    space: Space,
    best: Ints,
    shortest: int,
) -> tuple[int, int]:
    """Take moves out and put them back, in place.

    A cycle longer by some time is accepted with the probability that simulated annealing gives it
    (Metropolis and others 1953, Journal of Chemical Physics 21, 1087): how much longer it may be is
    drawn first.

    Parameters
    ----------
    starts : array (moves,)
        Set to starts of the last order, in ticks, counted on over cycles.
    cycle, lowest : int
        The cycle time, and one not to go below, in ticks.
    temperature : float
        As a part of the cycle time.
    tries : int
    rng : Generator
    space : Space
        Its other order is the one to begin with, and its wraps.
    best : array (moves,)
        Set to the starts with the least cycle time, if below `shortest`.
    shortest : int
        The least cycle time so far.

    Returns
    -------
    int, int
        The cycle time of `starts`, -1 where they keep no order; and the least so far.
    """
    count = len(starts)
    now, aim, before, critical = -1, cycle, shortest, np.int64(0)  # no literal: compiled once
    for turn in range(tries + 1):
        if turn > 0:
            for place in range(count):
                space.rank[space.order[place]] = place
            size = count - take_out(line, critical, space, rng)
            _others(space)
            aim = max(lowest, int(now - 1 - temperature * now * np.log(1.0 - rng.random())))
            longest_dwells(line, aim, space.longest)
            if not put_back(line, aim, size, count - size, space, rng):
                continue
        found = least_cycle_of(line, aim, lowest, space.other_order, space.other_wraps, space)
        if found >= 0:
            now = found
            _copy(space.other_order, space.order)
            _copy(space.other_wraps, space.wraps)
            if now < shortest:
                shortest = now
                _copy(space.order, space.best_order)
                _copy(space.wraps, space.best_wraps)
            critical = find_critical(line, now, space.order, space.wraps, space)
        if critical == 0 or now <= lowest:
            break
    if now < 0:
        return -1, shortest
    for better in (False, True):
        if better and shortest == before:
            continue
        order, wraps = space.order, space.wraps
        if better:
            order, wraps = space.best_order, space.best_wraps
        keep_order(line, shortest if better else now, order, wraps, space)
        _copy(space.times, best if better else starts)
    return now, shortest


@lean
def _copy(numbers: Ints, to: Ints) -> None:
    for place in range(len(to)):
        to[place] = numbers[place]


@lean
def _others(space: Space) -> None:
    """Set the order to try to that of the moves which are not taken out."""
    place = 0
    for move in space.order:
        space.other_wraps[move] = space.wraps[move]
        if space.kept[move]:
            space.other_order[place] = move
            place += 1
