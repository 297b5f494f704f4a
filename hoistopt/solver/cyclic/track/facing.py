"""What is known of the far side of a cut, turned the way that a front looks at it."""

from __future__ import annotations

import numpy as np

from ...compiled import compiled, padded
from .arithmetic import sooner
from .arrays import Facing, Steps
from .zones import NOTHING, Ints


def nothing_known(crossings: int) -> Facing:
    """Of a far side without kinds."""
    return Facing(
        np.zeros(1, np.int64),
        np.zeros(0, np.int64),
        np.zeros((0, crossings, padded(crossings)), np.int32),
    )


@compiled
def turned(steps: Steps, kinds: Ints, crossings: int, low: int, high: int) -> Facing:
    """What is known, beginning with the first crossing of a front instead of the signature's.

    Parameters
    ----------
    kinds : array (kinds, 2)
        Number of a signature, or -1 where it is impossible, and the crossing it begins with.
    low, high : int
        The span of cycle times.
    """
    begin = np.zeros(len(kinds) + 1, np.int64)
    for kind in range(len(kinds)):
        number = kinds[kind, 0]
        many = steps.begin[number + 1] - steps.begin[number] if number >= 0 else 0
        begin[kind + 1] = begin[kind] + many
    rest = np.empty(begin[-1], np.int64)
    gaps = np.full((begin[-1], crossings, padded(crossings)), NOTHING, np.int32)
    for kind in range(len(kinds)):
        number, start = kinds[kind]
        place = steps.place[number]
        for step in range(begin[kind], begin[kind + 1]):
            rest[step] = steps.rest[steps.begin[number] + step - begin[kind]]
            for x in range(crossings):
                row = place + crossings * ((x - start) % crossings)
                for y in range(crossings):
                    gap = steps.gaps[row + (y - start) % crossings]
                    gaps[step, x, y] = sooner(gap, low, high) if x > y else gap
            place += crossings * crossings
    return Facing(begin, rest, gaps)
