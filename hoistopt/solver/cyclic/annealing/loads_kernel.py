"""Simulated annealing of the starts of moves of several loads in a cycle of given length, compiled.

As in :mod:`.kernel`: dwells always keep to their windows, and moves that would need the hoist in
two places at once have a penalty. So have dwells of two loads in one tank at the same time.
"""

from __future__ import annotations

import numpy as np
from numpy.random import Generator

from ...compiled import compiled, lean, padded
from .chain import Ints
from .kernel import _change, _copy, _overlap, _penalty, _since

_ONE_MOVE, _STRETCHES, _TO_THE_END, _FROM_THE_START = 0.6, 0.88, 0.93, 0.98
"""Of shifts, the part below the first moves one move, below the next a few in a row, below the
next all of a load from one on, below the next all up to one; the others a load as a whole."""

_STRETCH = 6
"""Moves in a row, at most, that are shifted without the rest of their load."""

_SIDE_BY_SIDE, _FAR_OR_NEAR = 0.9, 0.95
"""Of shifts, the part below the first goes right beside another move, above the second near."""


@lean
def _meeting(  # type: ignore[no-untyped-def]
    move, other, at, starts, cycle, gaps, surcharge, first, last, shift
):
    """Return the penalty of the dwells before two moves in one tank, some moves shifted."""
    into, into_other = at[move - 1], at[other - 1]
    dwell = starts[move] - starts[move - 1]
    dwell_other = starts[other] - starts[other - 1]
    if first <= move <= last:
        dwell += shift
    if first <= move - 1 <= last:
        into, dwell = into + shift, dwell - shift
    if first <= other <= last:
        dwell_other += shift
    if first <= other - 1 <= last:
        into_other, dwell_other = into_other + shift, dwell_other - shift
    since = np.int32((into_other - into) % cycle)
    ahead = np.int32(dwell + gaps[move, other - 1])
    behind = np.int32(dwell_other + gaps[other, move - 1])
    return np.int64(_overlap(since, cycle, ahead, behind, surcharge))


@lean
def _in_tanks(  # type: ignore[no-untyped-def]
    first, last, begins, ends, shared, at, starts, cycle, gaps, surcharge, shift
):
    """Return the penalty of all dwells in tanks that a shift of some moves has to do with."""
    penalty = 0
    beyond = last + 1 if last < ends[last] else last
    for move in range(first, beyond + 1):
        if move == begins[move]:
            continue  # it follows no dwell
        for column in range(shared.shape[1]):
            other = shared[move, column]
            if other < 0:
                break
            if first <= other <= beyond and other < move:
                continue  # counted already
            penalty += _meeting(move, other, at, starts, cycle, gaps, surcharge, first, last, shift)
    return penalty


@compiled
def anneal_loads(
    starts: Ints,
    cycle: int,
    gaps: Ints,
    least: Ints,
    most: Ints,
    begins: Ints,
    ends: Ints,
    shared: Ints,
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
        In ticks, counted on over cycles.
    cycle : int
    gaps : array (moves, moves)
    least, most : array (moves,)
        Limits on the time from the start of the move before; of no meaning for first moves.
    begins, ends : array (moves,)
        First and last move of the load of each.
    shared : array (moves, any)
        Moves before which there is a dwell in the tank in which there is one before this move;
        filled up with -1.
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
        starts, cycle, gaps, least, most, begins, ends, shared, temperature, surcharge, reach,
        trials, rng, best, lowest, ahead, behind, at, own,
    )  # fmt: skip


@lean
def _anneal(  # type: ignore[no-untyped-def]
    starts, cycle, gaps, least, most, begins, ends, shared, temperature, surcharge, reach,
    trials, rng, best, lowest, ahead, behind, at, own,
):  # fmt: skip
    """Run the loop of :func:`anneal_loads`, with the gaps round each move and its penalty."""
    count, wide = gaps.shape[0], len(at)
    round_, extra = np.int32(cycle), np.int32(surcharge)
    total = 0
    for move in range(count):
        own[move] = _penalty(at[move], at, round_, ahead[move], behind[move], extra)
        total += own[move]
    total //= 2
    total += _in_tanks(0, count - 1, begins, ends, shared, at, starts, round_, gaps, extra, 0)
    if total < lowest:
        lowest = total
        _copy(starts, best)
    for _ in range(trials):
        drawn = rng.random() * count
        first = min(int(drawn), count - 1)  # rounded up, it could be beyond
        last = first
        kind = drawn - int(drawn)
        if kind > _FROM_THE_START:
            first, last = begins[first], ends[first]
        elif kind > _TO_THE_END:
            first = begins[first]
        elif kind > _STRETCHES:
            last = ends[first]
        elif kind > _ONE_MOVE:
            part = (kind - _ONE_MOVE) / (_STRETCHES - _ONE_MOVE)
            last = min(ends[first], first + 1 + int(part * (_STRETCH - 1)))
        # How far, so that the dwells before and after stay within their windows.
        low, high = -(cycle // 2), cycle // 2
        if first > begins[first]:
            dwell = starts[first] - starts[first - 1]
            low, high = max(low, least[first] - dwell), min(high, most[first] - dwell)
        if last < ends[last]:
            dwell = starts[last + 1] - starts[last]
            low, high = max(low, dwell - most[last + 1]), min(high, dwell - least[last + 1])
        if high <= low:
            continue
        kind = rng.random()
        if kind < _SIDE_BY_SIDE:  # until one of them just fits before or after another
            moved = last - first + 1
            if moved == count:
                continue
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
        tanks = _in_tanks(first, last, begins, ends, shared, at, starts, round_, gaps, extra, 0)
        before = tanks
        for move in range(first, last + 1):
            before += own[move]
        limit = before - temperature * np.log(1.0 - rng.random())
        among = 0
        for move in range(first, last + 1):
            for other in range(move + 1, last + 1):
                since = _since(at[move], at[other], round_)
                among += _overlap(since, round_, ahead[move, other], behind[move, other], extra)
        limit -= 2 * among
        cost = _in_tanks(first, last, begins, ends, shared, at, starts, round_, gaps, extra, shift)
        for move in range(first, last + 1):
            if cost > limit:
                break
            start = np.int32((at[move] + shift) % cycle)
            if first == last:  # no gap to itself, so no penalty either
                cost += _penalty(start, at, round_, ahead[move], behind[move], extra)
            else:
                for some in (slice(0, first), slice(last + 1, wide)):
                    cost += _penalty(
                        start, at[some], round_, ahead[move, some], behind[move, some], extra
                    )
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
