"""The ways of a station as arrays, those with equally many crossings together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .arrays import Links
from .ways import Way
from .zones import NOTHING, Ints

_Link = tuple[int, int, int, int]


@dataclass(frozen=True)
class Batch:
    """Ways with as many crossings.

    Attributes
    ----------
    numbers : array (ways,)
        Their numbers among all ways of the shape.
    move, slot, variable, offset, turn : array (ways, crossings)
        As in :class:`~.ways.Crossing`.
    """

    numbers: Ints
    links: Links
    move: Ints
    slot: Ints
    variable: Ints
    offset: Ints
    turn: Ints


def batches(ways: Sequence[Way], old: int) -> list[Batch]:
    """All of them; `old` is the number of crossings of the left cut."""
    alike: dict[int, list[int]] = {}
    for number, way in enumerate(ways):
        alike.setdefault(len(way.crossings), []).append(number)
    return [_batch(ways, numbers, old) for numbers in alike.values()]


def _batch(ways: Sequence[Way], numbers: list[int], old: int) -> Batch:
    some = [ways[number] for number in numbers]

    def each(name: str) -> Ints:
        rows = [[getattr(crossing, name) for crossing in way.crossings] for way in some]
        return np.array(rows, np.int64).reshape(len(some), -1)

    return Batch(
        np.array(numbers),
        _table(some, old),
        *(each(name) for name in ("move", "slot", "variable", "offset", "turn")),
    )


def _table(ways: list[Way], old: int) -> Links:
    """The links of all ways, one after another."""
    count = len(ways[0].order)
    rows: list[_Link] = []
    parts = []
    for way in ways:
        links = _links(way, old)
        own = [[link for link in links if max(link[:2]) < old]]
        for v in range(old, count):
            own += [[k for k in links if k[1] == v > k[0]], [k for k in links if k[0] == v > k[1]]]
        parts.append(np.cumsum([len(rows), *map(len, own)]))
        rows += [link for part in own for link in part]
    cost = np.array([way.cost for way in ways], np.int64)
    columns = np.array(rows, np.int64).reshape(-1, 4).T.copy()
    return Links(old, count, cost, np.array(parts), *columns)


def _links(way: Way, old: int) -> list[_Link]:
    """Links in one turn of the cycle, beginning with the first crossing of the left cut."""
    at = {variable: place for place, variable in enumerate(way.order)}
    found: dict[tuple[int, int, int], int] = {}

    def add(x: int, y: int, time: int, turns: int) -> None:
        if x != y:
            found[x, y, turns] = max(time, found.get((x, y, turns), NOTHING))

    for x, y in zip(way.order, [*way.order[1:], way.order[0]], strict=True):
        if max(x, y) >= old:
            add(x, y, 0, int(at[x] > at[y]))
    for x, y, time in way.least:
        add(x, y, time, int(at[x] > at[y]))
    for x, y, time in way.most:
        add(y, x, -time, -int(at[x] > at[y]))
    return [(x, y, time, turns) for (x, y, turns), time in found.items()]
