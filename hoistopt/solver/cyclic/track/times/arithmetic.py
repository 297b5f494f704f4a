"""Compiled arithmetic on single packed times (see :mod:`.span`)."""

from __future__ import annotations

from ....compiled import lean
from . import span as span_
from .span import SCALE

slope = lean(span_.slope)
minimum = lean(span_.minimum)
positive = lean(span_.positive)


@lean
def minus_cycle(time: int, low: int, high: int) -> int:
    """Return a packed time less one cycle time, which is between `low` and `high` ticks."""
    if slope(time) < 0:
        return time - (SCALE * low - SCALE // 2) + 1
    return time - (SCALE * high + SCALE // 2) + 1


@lean
def plus_cycle(time: int, low: int, high: int) -> int:
    """Return a packed time and one cycle time more."""
    if slope(time) > 0:
        return time + (SCALE * high + SCALE // 2) - 1
    return time + (SCALE * low - SCALE // 2) - 1


@lean
def plus_cycles(time: int, turns: int, low: int, high: int) -> int:
    """Return a packed time with `turns` cycle times added, or taken off where negative."""
    for _ in range(turns):
        time = plus_cycle(time, low, high)
    for _ in range(-turns):
        time = minus_cycle(time, low, high)
    return time
