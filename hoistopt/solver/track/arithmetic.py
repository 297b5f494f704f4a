"""Times of a span (see :mod:`.span`) worked on one by one, compiled."""

from __future__ import annotations

from . import span as span_
from .compiled import compiled
from .span import SCALE

slope = compiled(span_.slope)
least = compiled(span_.least)
impossible = compiled(span_.impossible)


@compiled
def sooner(time: int, low: int, high: int) -> int:
    """The time less one cycle time, which lies between `low` and `high` ticks."""
    if slope(time) < 0:
        return time - (SCALE * low - SCALE // 2) + 1
    return time - (SCALE * high + SCALE // 2) + 1


@compiled
def later(time: int, low: int, high: int) -> int:
    """The time and one cycle time more."""
    if slope(time) > 0:
        return time + (SCALE * high + SCALE // 2) - 1
    return time + (SCALE * low - SCALE // 2) - 1


@compiled
def moved(time: int, turns: int, low: int, high: int) -> int:
    """The time with so many cycle times more, or less."""
    for _ in range(turns):
        time = later(time, low, high)
    for _ in range(-turns):
        time = sooner(time, low, high)
    return time
