"""Times of a span (see :mod:`.span`) worked on one by one, compiled."""

from __future__ import annotations

from numba import njit

from . import span as span_
from .span import SCALE

slope = njit(nogil=True, cache=True)(span_.slope)
least = njit(nogil=True, cache=True)(span_.least)


@njit(nogil=True, cache=True)
def sooner(time: int, low: int, high: int) -> int:
    """The time less one cycle time, which lies between `low` and `high` ticks."""
    if slope(time) < 0:
        return time - (SCALE * low - SCALE // 2) + 1
    return time - (SCALE * high + SCALE // 2) + 1


@njit(nogil=True, cache=True)
def later(time: int, low: int, high: int) -> int:
    """The time and one cycle time more."""
    if slope(time) > 0:
        return time + (SCALE * high + SCALE // 2) - 1
    return time + (SCALE * low - SCALE // 2) - 1


@njit(nogil=True, cache=True)
def moved(time: int, turns: int, low: int, high: int) -> int:
    """The time with so many cycle times more, or less."""
    for _ in range(turns):
        time = later(time, low, high)
    for _ in range(-turns):
        time = sooner(time, low, high)
    return time


@njit(nogil=True, cache=True)
def impossible(time: int) -> bool:
    """Whether something would have to come so long after itself."""
    return least(time) > 0
