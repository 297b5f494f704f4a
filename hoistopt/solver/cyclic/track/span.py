"""Times that hold for a span of cycle times at once.

A least time between two events may depend on the cycle time T: what is so long within one
cycle is T shorter counted from the next. Such a time is kept as one number, ``SCALE`` times
what it is at the least, plus how often T is taken off it. Numbers of this kind are added as
they are, and the larger of two is the stricter, so whole arrays are worked on like plain
times. Only where T is added or taken off does the second part matter: a time that T was
taken off gets back just that T, not the shortest.

The longest T counts half a tick more, the shortest half a tick less: going round a cycle of
times that just fits the span then never comes to nothing, which would look like gain.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from .zones import NOTHING, Ints

_BITS = 8
SCALE = 1 << _BITS
_SLOPES = SCALE // 2

MOST_TURNS = _SLOPES // 2 - 1
"""How often the cycle time may be taken off, or added; no chain of times between so many
events at most does it more often."""


@dataclass(frozen=True)
class Span:
    """Cycle times from `low` to `high`, in ticks."""

    low: int
    high: int

    def ends(self, times: Ints) -> tuple[Ints, Ints]:
        """The times in plain ticks at the shortest and at the longest cycle time."""
        turns, shortest = slope(times), least(times)
        wide = self.high - self.low
        if not wide:
            return shortest, shortest
        return shortest + np.maximum(turns, 0) * wide, shortest + np.maximum(-turns, 0) * wide

    def narrowed(self, times: Ints, within: Span) -> Ints:
        """The times for a part of the span."""
        turns = slope(times)
        low, high = within.low - self.low, self.high - within.high
        more = np.where(turns > 0, turns * high, -turns * low)
        return np.where(times > NOTHING // 2, times + SCALE * more, NOTHING).astype(np.int32)

    def below(self, low: Ints, high: Ints) -> Ints:
        """Times no longer than the given ones at the shortest and the longest cycle time."""
        wide = self.high - self.low
        if not wide:
            return (SCALE * low).astype(np.int32)
        turns = np.clip(np.rint((low - high) / wide), -1, 1).astype(np.int32)
        least = np.minimum(low - np.maximum(turns, 0) * wide, high - np.maximum(-turns, 0) * wide)
        return (SCALE * least - SCALE // 2 * np.abs(turns) + turns).astype(np.int32)


def slope(times: Any) -> Any:
    """How often the cycle time was taken off; of one time, or of an array."""
    return ((times + _SLOPES // 2) & (_SLOPES - 1)) - _SLOPES // 2


def least(times: Any) -> Any:
    """In plain ticks, at whatever cycle time makes them shortest."""
    without_turns = (times + _SLOPES // 2) & -_SLOPES
    return -(-without_turns >> _BITS)


def impossible(time: int) -> bool:
    """Whether something would have to come at least a tick after itself."""
    return time >= _SLOPES // 2
