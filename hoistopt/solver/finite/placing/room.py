"""What room the loads that stand at a place leave there for another."""

from __future__ import annotations

from typing import NamedTuple

from ....instance.data import Place
from .spans import Spans, merged

EVER = 10**13
"""Ticks; beyond every programme."""


class Stand(NamedTuple):
    """A load standing at a place from the end of one move to the start of the next.

    Of a place that rests in the state it is the load that left it, by number -1. `early` is
    by how much less than others its move asks of a rest before.
    """

    came: int
    left: int
    load: int
    early: int = 0


class Cell(NamedTuple):
    """When a load may come to a place and when it must leave it again."""

    came_first: int
    came_last: int
    left_first: int
    left_last: int


def room(others: list[Stand], capacity: int, rest: int = 1) -> Spans:
    """The spans in which fewer than `capacity` of some loads take a place, its rest too."""
    changes = sorted(
        [(stand.came + stand.early, 1) for stand in others]
        + [(stand.left + rest, -1) for stand in others]
    )
    found, count, since = [], 0, -EVER
    for time, change in changes:
        if count < capacity <= count + change:
            found.append((since, time - 1))
        elif count + change < capacity <= count:
            since = time
        count += change
    if count < capacity:
        found.append((since, EVER))
    return merged(found)


def cells(others: list[Stand], place: Place, rest: int, early: int) -> list[Cell]:
    """When a load may come to a place and when it must leave it.

    Parameters
    ----------
    others : list of Stand
        Those that stand there, in the order in which they come.
    place : Place
    rest : int
        Ticks from a lifting to the next set down in the same place, 1 at least.
    early : int
        By how much less than others the load asks of a rest before it.
    """
    capacity = place.capacity
    if capacity is None:
        return [Cell(-EVER, EVER, -EVER, EVER)]
    if capacity == 1:
        free = zip(
            [-EVER, *(stand.left for stand in others)],
            [*((stand.came, stand.came + stand.early) for stand in others), (EVER, EVER)],
            strict=True,
        )
        gaps = (Cell(a + rest - early, came - 1, a + 1, b - rest) for a, (came, b) in free)
        return [c for c in gaps if c.came_first <= c.came_last and c.left_first <= c.left_last]
    free_spans = [(a - early, b - early, b - rest + 1) for a, b in room(others, capacity, rest)]
    if not place.fifo:
        return [Cell(a, b, a, left) for a, b, left in free_spans if a <= left]
    others = [stand for stand in others if stand.load >= 0]
    found = []
    for k in range(len(others) + 1):
        came = others[k - 1].came if k else -EVER
        left = others[k - 1].left if k else -EVER
        next_came = others[k].came if k < len(others) else EVER
        next_left = others[k].left if k < len(others) else EVER
        for a, b, last in free_spans:
            cell = Cell(
                max(a, came + 1),
                min(b, next_came - 1),
                max(a, left + 1),
                min(last, next_left - 1),
            )
            if cell.came_first <= cell.came_last and cell.left_first <= cell.left_last:
                found.append(cell)
    return found
