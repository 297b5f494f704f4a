"""Zero-width windows at degree 1: the cycle time by sieving forbidden intervals.

Method of Levner, Kats and Levit (1997), An improved algorithm for cyclic flowshop
scheduling in a robotic cell, European J. Operational Research 97, 500-508. It holds for
one kind of part, one load a cycle, a tank of its own for every stage, and ends that
never hold the hoist up.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

Forbidden = tuple[Fraction, Fraction]
"""Both ends open."""


def least_cycle_fixed_dwells(
    loaded: Sequence[int], empty: Sequence[Sequence[int]], dwells: Sequence[int]
) -> int:
    """The least whole cycle time when every dwell is fixed.

    Parameters
    ----------
    loaded : m + 1 times
        Move s takes a load from stage s to stage s+1; 0 is the load station.
    empty : m + 2 by m + 2 times
        Empty travel from stage to stage; stage m+1 is the unload station.
    dwells : m times
    """
    starts = [0]
    for took, dwell in zip(loaded, dwells, strict=False):
        starts.append(starts[-1] + took + dwell)
    moves = range(len(loaded))
    least = max(loaded[s] + empty[s + 1][s] for s in moves)
    # A tank must be left before the next load, one cycle later, is set down in it.
    least = max([least, *(dwell + 1 for dwell in dwells)])
    forbidden: list[Forbidden] = []
    for early in moves:
        for late in moves[early + 1 :]:
            apart = starts[late] - starts[early]
            low = apart - (loaded[early] + empty[early + 1][late])
            high = apart + (loaded[late] + empty[late + 1][early])
            cycles = 1  # the later load is this many cycles behind
            while high > least * cycles:
                forbidden.append((Fraction(low, cycles), Fraction(high, cycles)))
                cycles += 1
    period = least
    for low_end, high_end in sorted(forbidden):
        if low_end < period < high_end:
            period = -(-high_end.numerator // high_end.denominator)
    return period
