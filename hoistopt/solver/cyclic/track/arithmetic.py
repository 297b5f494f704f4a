"""Times of a span (see :mod:`.span`) worked on one by one, compiled."""

from __future__ import annotations

from ...compiled import lean
from . import span as span_
from .span import SCALE

slope = lean(span_.slope)
least = lean(span_.least)
impossible = lean(span_.impossible)


@lean
def sooner(time: int, low: int, high: int) -> int:
    """The time less one cycle time, which lies between `low` and `high` ticks."""
    if slope(time) < 0:
        return time - (SCALE * low - SCALE // 2) + 1
    return time - (SCALE * high + SCALE // 2) + 1


@lean
def later(time: int, low: int, high: int) -> int:
    """The time and one cycle time more."""
    if slope(time) > 0:
        return time + (SCALE * high + SCALE // 2) - 1
    return time + (SCALE * low - SCALE // 2) - 1


@lean
def moved(time: int, turns: int, low: int, high: int) -> int:
    """The time with so many cycle times more, or less."""
    for _ in range(turns):
        time = later(time, low, high)
    for _ in range(-turns):
        time = sooner(time, low, high)
    return time
