"""How one late start spreads through the cycles that follow.

Every start is the latest of several sums of an earlier start and a fixed time, so a
step is late by what the late one is late by, less the least total slack of the ways
along which it waits for it: a shortest path in the event graph. This is the max-plus
algebra of timed event graphs: Baccelli, Cohen, Olsder and Quadrat (1992),
"Synchronization and Linearity", Wiley.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..base.errors import HoistoptError
from .course import Course, Stand
from .waits import Wait

MOST_CYCLES = 20_000
LONGEST_PERIOD = 60
Buffer = int | None
"""Total slack on the way from the late start to another; None: it does not get there."""


@dataclass(frozen=True, slots=True)
class Break:
    """A maximum that is exceeded once the late start is later than `above`.

    `cycles` counts the cycles from the one with the late start to the one in which the
    load is lifted too late.
    """

    above: int
    stand: Stand
    cycles: int


@dataclass(frozen=True, slots=True)
class Spread:
    """What a single late start of a step leads to, in grid time.

    Attributes
    ----------
    free : int
        Up to here no other start is late.
    slips : int
        Up to here every start a cycle or more later is on time.
    lasts : int or None
        Up to here the line gets back to plan; None: it always does.
    breaks : Break or None
        The maximum exceeded first; None: none ever is.
    """

    free: int
    slips: int
    lasts: int | None
    breaks: Break | None


def spread(course: Course, step: int) -> Spread:
    """Follow a late start of `step` until nothing new can happen.

    Raises
    ------
    HoistoptError
        When that is not the case within `MOST_CYCLES` cycles, which takes slacks of
        circuits that differ by next to nothing.
    """
    free = min(wait.slack for wait in course.waits if wait.before == step)
    limited = any(stand.room is not None for stand in course.stands)
    slips: int | None = None
    first: Break | None = None
    windows: list[tuple[Buffer, ...]] = []
    depth = max(wait.cycles for wait in course.waits) + 1
    history: list[list[Buffer]] = []
    for number, buffers in enumerate(_cycles(course.waits, len(course), step, depth)):
        history = [*history, buffers][-depth:]
        first = _earliest(first, course, history, number)
        if number:
            slips = _least(slips, buffers if number > 1 else buffers[step:])
        windows.append(tuple(buffer for buffers in history for buffer in buffers))
        low = _least(None, windows[-1])
        # All that is still to come has buffers of at least `low`.
        slipped = slips is not None and low is not None and low >= slips
        broken = not limited or (first is not None and low is not None and low >= first.above)
        if slipped and (broken or _repeats(windows, None if first is None else first.above)):
            break
    assert slips is not None
    return Spread(free, slips, _lasting(course, step), first)


def _cycles(waits: Sequence[Wait], count: int, step: int, depth: int) -> Iterator[list[Buffer]]:
    """The buffers of all steps, cycle after cycle, from that of the late start on."""
    into: list[list[Wait]] = [[] for _ in range(count)]
    for wait in waits:
        into[wait.after].append(wait)
    past: list[list[Buffer]] = [[None] * count for _ in range(depth)]
    for number in range(MOST_CYCLES):
        now: list[Buffer] = [None] * count
        past = [*past[1:], now]
        for after in range(count):
            if number == 0 and after <= step:
                now[after] = 0 if after == step else None
                continue
            ways = (
                buffer + wait.slack
                for wait in into[after]
                for buffer in [past[-1 - wait.cycles][wait.before]]
                if buffer is not None
            )
            now[after] = min(ways, default=None)
        yield now
    raise HoistoptError(f"a late start still spreads in new ways after {MOST_CYCLES} cycles")


def _earliest(
    first: Break | None, course: Course, history: list[list[Buffer]], number: int
) -> Break | None:
    """The sooner of `first` and what is exceeded in the newest cycle."""
    for stand in course.stands:
        lifted = history[-1][stand.departure]
        if stand.room is None or lifted is None:
            continue
        back = len(history) - 1 - stand.cycles
        brought = history[back][stand.arrival] if back >= 0 else None
        # Late by d, the load is lifted d - lifted late and was brought d - brought late.
        if brought is not None and brought - lifted <= stand.room:
            continue
        above = lifted + stand.room
        if first is None or above < first.above:
            first = Break(above, stand, number)
    return first


def _least(least: int | None, buffers: Sequence[Buffer]) -> int | None:
    return min(
        (buffer for buffer in (least, *buffers) if buffer is not None),
        default=None,
    )


def _repeats(windows: list[tuple[Buffer, ...]], above: int | None) -> bool:
    """Whether all from here on is as it was some cycles ago, later by a common shift.

    Then breaks to come are those that came since, shifted, so no earlier than they.
    Buffers from a break already found on cannot lead to an earlier one.
    """
    now = windows[-1]
    low = _least(None, now)
    for before in windows[-2 : -2 - LONGEST_PERIOD : -1]:
        since = _least(None, before)
        if len(before) < len(now) or low is None or since is None:
            return False
        shifted = (None if b is None else b + low - since for b in before)
        if all(_alike(a, b, above) for a, b in zip(now, shifted, strict=True)):
            return True
    return False


def _alike(a: Buffer, b: Buffer, above: int | None) -> bool:
    if above is not None:
        a = None if a is None or a >= above else a
        b = None if b is None or b >= above else b
    return a == b


def _lasting(course: Course, step: int) -> int | None:
    """The total slack on the way to a circuit of steps that have none to spare."""
    import networkx

    graph = networkx.DiGraph()
    graph.add_edges_from((w.before, w.after) for w in course.waits if w.slack == 0)
    turning = {
        node
        for part in networkx.strongly_connected_components(graph)
        for node in part
        if len(part) > 1 or graph.has_edge(node, node)
    }
    reached = _shortest(course, step)
    return min((reached[node] for node in turning), default=None)


def _shortest(course: Course, step: int) -> dict[int, int]:
    """Least total slack from a step to each other, in whichever cycle (Dijkstra 1959)."""
    onward: dict[int, list[Wait]] = {}
    for wait in course.waits:
        onward.setdefault(wait.before, []).append(wait)
    found: dict[int, int] = {}
    heap = [(0, step)]
    while heap:
        buffer, node = heapq.heappop(heap)
        if node in found:
            continue
        found[node] = buffer
        for wait in onward.get(node, ()):
            heapq.heappush(heap, (buffer + wait.slack, wait.after))
    return found
