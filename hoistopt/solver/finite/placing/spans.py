"""Sets of whole ticks as sorted lists of spans (first, last), both included."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable

Spans = list[tuple[int, int]]


def merged(spans: Iterable[tuple[int, int]]) -> Spans:
    """The union of any spans."""
    found: Spans = []
    for low, high in sorted(spans):
        if low > high:
            continue
        if found and low <= found[-1][1] + 1:
            if high > found[-1][1]:
                found[-1] = (found[-1][0], high)
        else:
            found.append((low, high))
    return found


def within(spans: Spans, low: int, high: int) -> Spans:
    """What of a set lies from `low` to `high`."""
    at = bisect_left(spans, (low, low))
    if at and spans[at - 1][1] >= low:
        at -= 1
    found: Spans = []
    while at < len(spans) and spans[at][0] <= high:
        found.append((max(spans[at][0], low), min(spans[at][1], high)))
        at += 1
    return found


def without(spans: Spans, forbidden: Spans) -> Spans:
    """A set less a union of spans, as :func:`merged` gives it."""
    found: Spans = []
    place = 0
    for low, high in spans:
        while place < len(forbidden) and forbidden[place][1] < low:
            place += 1
        at = place
        while at < len(forbidden) and forbidden[at][0] <= high:
            first, last = forbidden[at]
            if first > low:
                found.append((low, first - 1))
            low = max(low, last + 1)
            if low > high:
                break
            at += 1
        if low <= high:
            found.append((low, high))
    return found


def shifted(spans: Spans, least: int, most: int) -> Spans:
    """The ticks from `least` to `most` after any of a set."""
    return merged((a + least, b + most) for a, b in spans)
