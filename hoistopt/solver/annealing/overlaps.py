"""Starts of moves in a cycle of a given length, with as little overlap as can be.

Dwells always keep to their windows; moves may overlap, at a price: the hoist would have to
be in two places at once. Simulated annealing (Kirkpatrick, Gelatt and Vecchi 1983, Science
220, 671-680) brings the price down. What is compiled here runs without Python's lock.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.random import Generator

from .chain import Ints

_ONE_MOVE, _TO_THE_END = 0.7, 0.97
_STRETCH = 6
_SIDE_BY_SIDE = 0.9


@njit(cache=True, nogil=True, inline="always")
def _overlap(since: int, cycle: int, ahead: int, behind: int, toll: int) -> int:
    """The price of a move that starts so long after another, counted round the cycle.

    It has to start `ahead` after the other, and `behind` before the next of the other. The
    price is how far it is off, and a toll: one conflict is better than several small ones.
    """
    price = 0
    if since < ahead:
        price = min(ahead - since, behind + since)
    until = cycle - since
    if until < behind:
        other = min(behind - until, ahead + until)
        if price == 0 or other < price:
            price = other
    return price + toll if price > 0 else 0


@njit(cache=True, nogil=True)
def _price(at: Ints, move: int, start: int, cycle: int, gaps: Ints, toll: int) -> int:
    """The price of a move starting then, with all others."""
    price = 0
    for other in range(len(at)):
        if other != move:
            since = (start - at[other]) % cycle
            price += _overlap(since, cycle, gaps[other, move], gaps[move, other], toll)
    return price


@njit(cache=True, nogil=True)
def conflicts(starts: Ints, cycle: int, gaps: Ints) -> Ints:
    """Pairs of moves that overlap, array (moves, moves): by how much."""
    count = len(starts)
    found = np.zeros((count, count), np.int64)
    for a in range(count):
        for b in range(count):
            if a != b:
                since = (starts[b] - starts[a]) % cycle
                found[a, b] = _overlap(since, cycle, gaps[a, b], gaps[b, a], 0)
    return found


@njit(cache=True, nogil=True)
def settle(
    starts: Ints,
    cycle: int,
    gaps: Ints,
    least: Ints,
    most: Ints,
    temperature: float,
    toll: int,
    reach: int,
    tries: int,
    rng: Generator,
    best: Ints,
    lowest: int,
) -> int:
    """Shift moves at one temperature, in place.

    Parameters
    ----------
    starts : array (moves,)
        Counted on over cycles; the first move stays where it is.
    least, most : array (moves,)
        Time from the start of the move before.
    toll, reach : int
        Price of a conflict however small; how far small shifts go.
    tries : int
        Shifts looked at.
    best : array (moves,)
        Gets the starts whose price is lowest, and below `lowest`.

    Returns
    -------
    int
        The lowest price so far.
    """
    count = len(starts)
    at = starts % cycle
    own = np.zeros(count, np.int64)
    for move in range(count):
        own[move] = _price(at, move, at[move], cycle, gaps, toll)
    total = own.sum() // 2
    if total < lowest:
        lowest = total
        best[:] = starts
    for _ in range(tries):
        # Which moves: one, some that follow one another, or all the load has yet to do.
        first = 1 + int(rng.random() * (count - 1))
        last = first
        kind = rng.random()
        if kind > _TO_THE_END:
            last = count - 1
        elif kind > _ONE_MOVE:
            last = min(count - 1, first + 1 + int(rng.random() * (_STRETCH - 1)))
        # How far, so that the dwells before and after stay within their windows.
        dwell = starts[first] - starts[first - 1]
        low, high = least[first] - dwell, most[first] - dwell
        if last < count - 1:
            dwell = starts[last + 1] - starts[last]
            low, high = max(low, dwell - most[last + 1]), min(high, dwell - least[last + 1])
        if high <= low:
            continue
        kind = rng.random()
        if kind < _SIDE_BY_SIDE:  # until one of them just fits before or after another
            move = first + int(rng.random() * (last - first + 1))
            other = int(rng.random() * (count - (last - first + 1)))
            if other >= first:
                other += last - first + 1
            wanted = gaps[other, move] if rng.random() < 0.5 else -gaps[move, other]
            shift = wanted - (at[move] - at[other])
            if shift < low:
                shift += cycle * ((low - shift + cycle - 1) // cycle)
            elif shift > high:
                shift -= cycle * ((shift - high + cycle - 1) // cycle)
            if not low <= shift <= high:
                continue
        else:
            if kind > (1 + _SIDE_BY_SIDE) / 2:
                low, high = max(low, -reach), min(high, reach)
            shift = low + int(rng.random() * (high - low + 1))
        if shift == 0:
            continue
        # Whether the price is right: the sum is broken off where it gets too high.
        before = 0
        for move in range(first, last + 1):
            before += own[move]
        limit = before - temperature * np.log(1.0 - rng.random())
        among = 0
        for move in range(first, last + 1):
            for other in range(move + 1, last + 1):
                since = (at[move] - at[other]) % cycle
                among += _overlap(since, cycle, gaps[other, move], gaps[move, other], toll)
        limit -= 2 * among
        after = 0
        for move in range(first, last + 1):
            start = (at[move] + shift) % cycle
            for other in range(count):
                if other < first or other > last:
                    since = start - at[other]
                    if since < 0:
                        since += cycle
                    after += _overlap(since, cycle, gaps[other, move], gaps[move, other], toll)
            if after > limit:
                break
        if after > limit:
            continue
        total += after - (before - 2 * among)
        for move in range(first, last + 1):
            start = (at[move] + shift) % cycle
            for other in range(count):
                if other < first or other > last:
                    ahead, behind = gaps[other, move], gaps[move, other]
                    since = (at[move] - at[other]) % cycle
                    change = -_overlap(since, cycle, ahead, behind, toll)
                    since = (start - at[other]) % cycle
                    change += _overlap(since, cycle, ahead, behind, toll)
                    own[other] += change
                    own[move] += change
        for move in range(first, last + 1):
            starts[move] += shift
            at[move] = starts[move] % cycle
        if total < lowest:
            lowest = total
            best[:] = starts
            if lowest == 0:
                break
    return lowest
