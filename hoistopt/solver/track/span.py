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
from typing import overload

import numpy as np

from .zones import NOTHING, Ints

SCALE = 128
_SLOPES = 64

MOST_TURNS = _SLOPES // 2 - 1
"""How often the cycle time may be taken off, or added; no chain of times between so many
events at most does it more often."""


@dataclass(frozen=True)
class Span:
    """Cycle times from `low` to `high`, in ticks."""

    low: int
    high: int

    def covers(self, other: Span) -> bool:
        """Whether it holds all of another's cycle times."""
        return self.low <= other.low and other.high <= self.high

    @property
    def _shortest(self) -> int:
        return SCALE * self.low - SCALE // 2

    @property
    def _longest(self) -> int:
        return SCALE * self.high + SCALE // 2

    @overload
    def sooner(self, times: int) -> int: ...
    @overload
    def sooner(self, times: Ints) -> Ints: ...
    def sooner(self, times: Ints | int) -> Ints | int:
        """The times less one cycle time."""
        if isinstance(times, int):
            return times - (self._shortest if _slope(times) < 0 else self._longest) + 1
        taken = np.where(_slope(times) < 0, np.int32(self._shortest), np.int32(self._longest))
        return times - taken + np.int32(1)

    @overload
    def later(self, times: int) -> int: ...
    @overload
    def later(self, times: Ints) -> Ints: ...
    def later(self, times: Ints | int) -> Ints | int:
        """The times and one cycle time more."""
        if isinstance(times, int):
            return times + (self._longest if _slope(times) > 0 else self._shortest) - 1
        added = np.where(_slope(times) > 0, np.int32(self._longest), np.int32(self._shortest))
        return times + added - np.int32(1)

    def least(self, times: Ints) -> Ints:
        """The times in plain ticks, at whatever cycle time makes them shortest."""
        return -((_slope(times) - times) // SCALE)

    def ends(self, times: Ints) -> tuple[Ints, Ints]:
        """The times in plain ticks at the shortest and at the longest cycle time."""
        slope = _slope(times)
        least = self.least(times)
        wide = self.high - self.low
        return least + np.maximum(slope, 0) * wide, least + np.maximum(-slope, 0) * wide

    def narrowed(self, times: Ints, within: Span) -> Ints:
        """The times for a part of the span."""
        slope = _slope(times)
        low, high = within.low - self.low, self.high - within.high
        more = np.where(slope > 0, slope * high, -slope * low)
        return np.where(times > NOTHING // 2, times + SCALE * more, NOTHING).astype(np.int32)

    def below(self, low: Ints, high: Ints) -> Ints:
        """Times no longer than the given ones at the shortest and the longest cycle time."""
        wide = self.high - self.low
        if not wide:
            return (SCALE * low).astype(np.int32)
        slope = np.clip(np.rint((low - high) / wide), -1, 1).astype(np.int32)
        least = np.minimum(low - np.maximum(slope, 0) * wide, high - np.maximum(-slope, 0) * wide)
        return (SCALE * least - SCALE // 2 * np.abs(slope) + slope).astype(np.int32)


@overload
def _slope(times: int) -> int: ...
@overload
def _slope(times: Ints) -> Ints: ...
def _slope(times: Ints | int) -> Ints | int:
    """How often the cycle time was taken off."""
    return ((times + _SLOPES // 2) & (_SLOPES - 1)) - _SLOPES // 2
