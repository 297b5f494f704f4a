"""Moves taken out and put back by turns, at one temperature, compiled."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.random import Generator

from ...compiled import lean, lean_long
from ..annealing.chain import Ints
from .insertion import put_back
from .line import Line, Space, Tanks
from .network import set_longest
from .order import find_critical, keep_order, least_cycle_of
from .removal import take_out
from .tanks import change_back, change_tanks, set_tanks


@lean_long
def reinsert(
    line: Line,
    tanks: Tanks,
    starts: Ints,
    cycle: int,
    lowest: int,
    temperature: float,
    tries: int,
    rng: Generator,
    space: Space,
    best: Ints,
    option: Ints,
    shortest: int,
) -> tuple[int, int]:
    """Take moves out and put them back, in place.

    A cycle longer by some time is accepted with the probability that simulated annealing gives it
    (Metropolis and others 1953, Journal of Chemical Physics 21, 1087): how much longer it may be is
    drawn first.

    Parameters
    ----------
    tanks : Tanks
        Its options are those to begin with, and in the end those of `starts`.
    starts : array (moves,)
        Set to starts of the last order, in ticks, counted on over cycles.
    cycle, lowest : int
        The cycle time, and one not to go below, in ticks.
    temperature : float
        As a part of the cycle time.
    tries : int
        After a look at the order given.
    rng : Generator
    space : Space
        Its other order is the one to begin with, and its wraps.
    best : array (moves,)
        Set to the starts with the least cycle time, if below `shortest`.
    option : array (moves,)
        Set to the options of `best`, likewise.
    shortest : int
        The least cycle time so far.

    Returns
    -------
    int, int
        The cycle time of `starts`, -1 where they keep no order; and the least so far.
    """
    count = len(starts)
    now, aim, before = -1, cycle, shortest
    critical: Any = np.int64(0)  # no literals: compiled once
    changed: Any = np.int64(0)
    set_tanks(line, tanks)
    for turn in range(tries + 1):
        fits = True
        if turn > 0:
            for place in range(count):
                space.rank[space.order[place]] = place
            out = take_out(line, critical, space, rng)
            _others(space)
            changed = change_tanks(line, tanks, out, space, rng)
            aim = max(lowest, int(now - 1 - temperature * now * np.log(1.0 - rng.random())))
            set_longest(line, tanks, aim, space.within)
            fits = put_back(line, tanks, aim, count - out, out, space, rng)
        found: Any = np.int64(-1)
        if fits:
            found = least_cycle_of(
                line, tanks, aim, lowest, space.other_order, space.other_wraps, space
            )
        if found < 0:
            change_back(line, tanks, changed, space)
        else:
            now = found
            _copy(space.other_order, space.order)
            _copy(space.other_wraps, space.wraps)
            if now < shortest:
                shortest = now
                _copy(space.order, space.best_order)
                _copy(space.wraps, space.best_wraps)
                _copy(tanks.option, space.best_option)
            critical = find_critical(line, tanks, now, space.order, space.wraps, space)
        if critical == 0 or now <= lowest:
            break
    if now < 0:
        return -1, shortest
    # The best one first, so that the tanks are those of the last one in the end; in a loop, for
    # what is called in two places takes the compiler twice as long.
    _copy(tanks.option, space.option_before)
    for last in (False, True):
        if last:
            _copy(space.option_before, tanks.option)
        elif shortest < before:
            _copy(space.best_option, tanks.option)
            _copy(space.best_option, option)
        else:
            continue
        set_tanks(line, tanks)
        order, wraps = space.best_order, space.best_wraps
        if last:
            order, wraps = space.order, space.wraps
        keep_order(line, tanks, now if last else shortest, order, wraps, space)
        _copy(space.times, starts if last else best)
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
