"""Minimum separations that hold for a span of cycle times at once.

The minimum separation of two events may depend on the cycle time T: what is w ticks within one
cycle is w - T when the second event is counted one cycle earlier. Every separation has the form

    w - k T,    low <= T <= high,

where k, its *slope*, is how often T was taken off. Such a function is packed into one integer,

    SCALE * (its minimum over the span) + k,

so that adding two packed times adds the functions (nearly: see below), and the larger of two
packed times is the stricter. Compiled loops and NumPy therefore treat packed times like plain
integers. Only where T itself is added or taken off is k looked at, so that a time from which T
was taken off gets back just that T, not the shortest of the span.

Example, for T from 100 to 110 ticks: 30 ticks, one cycle earlier, are 30 - T. The minimum over
the span is 30 - 110 = -80 and the slope 1. One cycle later they are 30 ticks again, not
-80 + 100 = 20.

The sum of two minima is at most the minimum of the sum, so packed sums never overstate.

Of the longest T half a tick is added, of the shortest half a tick is taken off. A circuit whose
separations come to exactly nothing at some T of the span, which is feasible, then never packs to
a positive number, which would look infeasible.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

Ints = npt.NDArray[Any]

NO_BOUND = -(1 << 29)
"""Packed time of a pair of events without any minimum separation.

Three of them still fit a 32-bit number when added.
"""

_BITS = 8
SCALE = 1 << _BITS
_SLOPES = SCALE // 2

MOST_SLOPE = _SLOPES // 2 - 1
"""Largest slope, up or down, that a packed time can have.

A simple path over n events adds or takes off T at most n times, so n events at most may be
looked at together.
"""


@dataclass(frozen=True)
class Span:
    """Cycle times from `low` to `high`, both included, in ticks."""

    low: int
    high: int

    def ends(self, times: Ints) -> tuple[Ints, Ints]:
        """Return packed times in ticks, at the shortest and at the longest cycle time."""
        turns, shortest = slope(times), minimum(times)
        wide = self.high - self.low
        if not wide:
            return shortest, shortest
        return shortest + np.maximum(turns, 0) * wide, shortest + np.maximum(-turns, 0) * wide

    def restricted(self, times: Ints, within: Span) -> Ints:
        """Return times packed for this span, packed for the part `within` of it."""
        turns = slope(times)
        low, high = within.low - self.low, self.high - within.high
        more = np.where(turns > 0, turns * high, -turns * low)
        return np.where(times > NO_BOUND // 2, times + SCALE * more, NO_BOUND).astype(np.int32)

    def packed_below(self, low: Ints, high: Ints) -> Ints:
        """Pack times that are at most the given ticks at both ends of the span.

        Used for a merged state: a function w - k T with k of -1, 0 or 1 that lies below the
        given two points, as near to them as such a function can.
        """
        wide = self.high - self.low
        if not wide:
            return (SCALE * low).astype(np.int32)
        turns = np.clip(np.rint((low - high) / wide), -1, 1).astype(np.int32)
        least = np.minimum(low - np.maximum(turns, 0) * wide, high - np.maximum(-turns, 0) * wide)
        return (SCALE * least - SCALE // 2 * np.abs(turns) + turns).astype(np.int32)


def slope(times: Any) -> Any:
    """Return how often the cycle time was taken off; of a packed time, or of an array."""
    return ((times + _SLOPES // 2) & (_SLOPES - 1)) - _SLOPES // 2


def minimum(times: Any) -> Any:
    """Return the minimum over the span, in ticks; of a packed time, or of an array."""
    without_turns = (times + _SLOPES // 2) & -_SLOPES
    return -(-without_turns >> _BITS)


def positive(time: int) -> bool:
    """Return whether a packed time is a tick or more at every cycle time of the span.

    An event cannot be separated from itself by such a time: the circuit is infeasible.
    """
    return time >= _SLOPES // 2
