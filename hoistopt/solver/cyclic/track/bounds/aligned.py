"""Completion bounds turned round the cycle, to begin where the states of a pattern do."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from ....compiled import compiled, padded
from ..times.arithmetic import minus_cycle
from ..times.span import NO_BOUND, Ints
from .completion import BoundSteps


class AlignedBounds(NamedTuple):
    """Completion bounds, by the crossings of a cut in the order of `NextCut`.

    Attributes
    ----------
    begin : array (kinds + 1,)
        Where the steps of each kind of crossings begin.
    rest : array (steps,)
        As in :class:`~.completion.BoundSteps`.
    separation : array (steps, crossings, at least crossings)
        The same, but within one turn of the cycle; columns to spare are never looked at.
    """

    begin: Ints
    rest: Ints
    separation: Ints


@lru_cache(maxsize=256)  # asked for at every station of a pass without bounds
def no_bounds(crossings: int) -> AlignedBounds:
    """Return bounds of no kind of crossings."""
    return AlignedBounds(
        np.zeros(1, np.int64),
        np.zeros(0, np.int64),
        np.zeros((0, crossings, padded(crossings)), np.int32),
    )


@compiled
def aligned(steps: BoundSteps, kinds: Ints, crossings: int, low: int, high: int) -> AlignedBounds:
    """Return bounds that begin with the first crossing of states instead of that of their key.

    Parameters
    ----------
    kinds : array (kinds, 2)
        Number of a state key, or -1 where it has no completion, and which crossing of the
        states the key begins with.
    low, high : int
        The span of cycle times, in ticks.
    """
    begin = np.zeros(len(kinds) + 1, np.int64)
    for kind in range(len(kinds)):
        number = kinds[kind, 0]
        many = steps.begin[number + 1] - steps.begin[number] if number >= 0 else 0
        begin[kind + 1] = begin[kind] + many
    rest = np.empty(begin[-1], np.int64)
    found = np.full((begin[-1], crossings, padded(crossings)), NO_BOUND, np.int32)
    for kind in range(len(kinds)):
        number, start = kinds[kind]
        place = steps.place[number]
        for step in range(begin[kind], begin[kind + 1]):
            rest[step] = steps.rest[steps.begin[number] + step - begin[kind]]
            for x in range(crossings):
                row = place + crossings * ((x - start) % crossings)
                for y in range(crossings):
                    time = steps.separation[row + (y - start) % crossings]
                    found[step, x, y] = minus_cycle(time, low, high) if x > y else time
            place += crossings * crossings
    return AlignedBounds(begin, rest, found)
