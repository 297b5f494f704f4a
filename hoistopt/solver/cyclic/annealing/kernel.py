"""Simulated annealing of the starts of moves in a cycle of a given length, compiled.

Dwells always keep to their windows. Moves may overlap, which would need the hoist in two places
at once, at a penalty that annealing brings down (Kirkpatrick, Gelatt and Vecchi 1983, Science 220,
671-680). A state without penalty is a schedule, as far as one load's windows and the hoist go.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.random import Generator

from ...compiled import compiled, lean, padded
from .chain import Ints

_ONE_MOVE, _TO_THE_END = 0.7, 0.97
"""Of shifts, the part below the first moves one move, above the second all moves from one on."""

_STRETCH = 6
"""Moves in a row, at most, that the other shifts move."""

_SIDE_BY_SIDE, _FAR_OR_NEAR = 0.9, 0.95
"""Of shifts, the part below the first goes right beside another move, above the second near."""

_NONE = np.int32(1 << 30)


@lean
def _overlap(since: int, cycle: int, ahead: int, behind: int, surcharge: int) -> Any:
    """Return the penalty of a move that starts `since` ticks after another, round the cycle.

    It has to start `ahead` ticks after the other, and `behind` ticks before the next of the
    other. The penalty is how far it would have to be shifted, and a surcharge, so that one
    overlap is better than several small ones. All numbers are of 32 bits, so that processors
    work on several moves at a time.
    """
    late = np.int32(ahead - since)
    until = np.int32(cycle - since)
    early = np.int32(behind - until)
    penalty = min(late, np.int32(behind + since)) if late > 0 else _NONE
    other = min(early, np.int32(ahead + until)) if early > 0 else _NONE
    penalty = min(penalty, other)
    return np.int32(penalty + surcharge) if 0 < penalty < _NONE else np.int32(0)


@lean
def _since(start: int, other: int, cycle: int) -> Any:
    """Return how long after another a move starts, both within a cycle, counted round it."""
    since = np.int32(start - other)
    return np.int32(since + cycle) if since < 0 else since


@lean
def _penalty(start: int, at: Ints, cycle: int, ahead: Ints, behind: Ints, surcharge: int) -> Any:
    """Return the penalty of a move with all others, if it starts at `start`."""
    penalty = 0
    for other in range(len(at)):
        since = _since(start, at[other], cycle)
        penalty += _overlap(since, cycle, ahead[other], behind[other], surcharge)
    return penalty


@lean
def _change(
    own: Ints, old: int, new: int, at: Ints, cycle: int, ahead: Ints, behind: Ints, surcharge: int
) -> Any:
    """Add to the penalties of others what a move's new start changes; return the sum of it."""
    whole = 0
    for other in range(len(at)):
        since = _since(new, at[other], cycle)
        change = np.int64(_overlap(since, cycle, ahead[other], behind[other], surcharge))
        since = _since(old, at[other], cycle)
        change -= _overlap(since, cycle, ahead[other], behind[other], surcharge)
        own[other] += change
        whole += change
    return whole


@compiled
def overlaps(starts: Ints, cycle: int, gaps: Ints) -> Ints:
    """Return by how many ticks moves overlap, array (moves, moves).

    Parameters
    ----------
    starts : array (moves,)
    cycle : int
    gaps : array (moves, moves)
        As in :class:`~.chain.Chain`.
    """
    count = len(starts)
    found = np.zeros((count, count), np.int64)
    for a in range(count):
        for b in range(count):
            if a != b:
                since = (starts[b] - starts[a]) % cycle
                found[a, b] = _overlap(since, cycle, gaps[a, b], gaps[b, a], 0)
    return found


@lean
def _copy(times: Ints, to: Ints) -> None:
    for place in range(len(times)):
        to[place] = times[place]


@compiled
def anneal(
    starts: Ints,
    cycle: int,
    gaps: Ints,
    least: Ints,
    most: Ints,
    temperature: float,
    surcharge: int,
    reach: int,
    trials: int,
    rng: Generator,
    best: Ints,
    lowest: int,
) -> int:
    """Anneal at one temperature: shift moves, in place.

    Parameters
    ----------
    starts : array (moves,)
        In ticks, counted on over cycles; the first move stays where it is.
    cycle : int
    gaps : array (moves, moves)
    least, most : array (moves,)
        Limits on the time from the start of the move before.
    temperature : float
        In ticks of penalty.
    surcharge, reach : int
        Penalty of any overlap, on top of its ticks; how far small shifts go.
    trials : int
        Shifts tried.
    rng : Generator
    best : array (moves,)
        Set to the starts whose penalty is the lowest, if below `lowest`.
    lowest : int
        The lowest penalty so far.

    Returns
    -------
    int
        The lowest penalty so far.
    """
    count = len(starts)
    wide = padded(count)  # nothing overlaps in the columns to spare
    ahead, behind = np.zeros((count, wide), np.int32), np.zeros((count, wide), np.int32)
    at = np.zeros(wide, np.int32)
    own = np.zeros(wide, np.int64)
    for move in range(count):
        at[move] = starts[move] % cycle
        for other in range(count):
            if other != move:
                ahead[move, other], behind[move, other] = gaps[other, move], gaps[move, other]
    return _anneal(
        starts, cycle, gaps, least, most, temperature, surcharge, reach, trials, rng, best, lowest,
        ahead, behind, at, own,
    )  # fmt: skip


@lean
def _anneal(  # type: ignore[no-untyped-def]
    starts, cycle, gaps, least, most, temperature, surcharge, reach, trials, rng, best, lowest,
    ahead, behind, at, own,
):  # fmt: skip
    """Run the loop of :func:`anneal`, with the gaps round each move, its place and its penalty."""
    count, wide = gaps.shape[0], len(at)
    round_, extra = np.int32(cycle), np.int32(surcharge)
    total = 0
    for move in range(count):
        own[move] = _penalty(at[move], at, round_, ahead[move], behind[move], extra)
        total += own[move]
    total //= 2
    if total < lowest:
        lowest = total
        _copy(starts, best)
    for _ in range(trials):
        # Which moves: one, some that follow one another, or all the load has yet to do.
        drawn = rng.random() * (count - 1)
        first = min(1 + int(drawn), count - 1)  # rounded up, it could be beyond
        last = first
        kind = drawn - int(drawn)
        if kind > _TO_THE_END:
            last = count - 1
        elif kind > _ONE_MOVE:
            part = (kind - _ONE_MOVE) / (_TO_THE_END - _ONE_MOVE)
            last = min(count - 1, first + 1 + int(part * (_STRETCH - 1)))
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
            moved = last - first + 1
            drawn = kind / _SIDE_BY_SIDE * moved
            move = min(first + int(drawn), last)
            drawn = (drawn - int(drawn)) * (count - moved)
            other = min(int(drawn), count - moved - 1)
            after = drawn - other < 0.5
            if other >= first:
                other += moved
            wanted = gaps[other, move] if after else -gaps[move, other]
            shift = wanted - (at[move] - at[other])
            if shift < low:
                shift += cycle * ((low - shift + cycle - 1) // cycle)
            elif shift > high:
                shift -= cycle * ((shift - high + cycle - 1) // cycle)
            if not low <= shift <= high:
                continue
        else:
            if kind > _FAR_OR_NEAR:
                low, high = max(low, -reach), min(high, reach)
            shift = low + int(rng.random() * (high - low + 1))
        if shift == 0:
            continue
        # Accept or reject (Metropolis): the sum is broken off once it is too high.
        before = 0
        for move in range(first, last + 1):
            before += own[move]
        limit = before - temperature * np.log(1.0 - rng.random())
        among = 0
        for move in range(first, last + 1):
            for other in range(move + 1, last + 1):
                since = _since(at[move], at[other], round_)
                among += _overlap(since, round_, ahead[move, other], behind[move, other], extra)
        limit -= 2 * among
        cost = 0
        for move in range(first, last + 1):
            start = np.int32((at[move] + shift) % cycle)
            if first == last:  # no gap to itself, so no penalty either
                cost = _penalty(start, at, round_, ahead[move], behind[move], extra)
            else:
                for some in (slice(0, first), slice(last + 1, wide)):
                    cost += _penalty(
                        start, at[some], round_, ahead[move, some], behind[move, some], extra
                    )
            if cost > limit:
                break
        if cost > limit:
            continue
        total += cost - (before - 2 * among)
        for move in range(first, last + 1):
            start = np.int32((at[move] + shift) % cycle)
            for some in (slice(0, first), slice(last + 1, wide)):
                own[move] += _change(
                    own[some], at[move], start, at[some], round_, ahead[move, some],
                    behind[move, some], extra,
                )  # fmt: skip
        for move in range(first, last + 1):
            starts[move] += shift
            at[move] = starts[move] % cycle
        if total < lowest:
            lowest = total
            _copy(starts, best)
            if lowest == 0:
                break
    return lowest
