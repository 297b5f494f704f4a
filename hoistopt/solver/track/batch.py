"""The ways of a station as arrays, those with equally many crossings together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .span import SCALE, Span
from .ways import Way
from .zones import NOTHING, Ints

_Link = tuple[int, int, int, int]


@dataclass(frozen=True)
class Links:
    """Least times from variables to variables, by way; unused ones say NOTHING.

    Attributes
    ----------
    start, end, time, turns : array (links, ways)
        `turns` times the cycle time is to be taken off.
    """

    start: Ints
    end: Ints
    time: Ints
    turns: Ints

    def least(self, link: int, ways: Ints, span: Span) -> Ints:
        """Time of a link, by row."""
        time = self.time[link]
        scaled = np.where(time > NOTHING, SCALE * time, NOTHING).astype(np.int32)
        turns = self.turns[link]
        taken = np.where(turns > 0, span.sooner(scaled), scaled)
        return np.where(turns < 0, span.later(scaled), taken)[ways]


@dataclass(frozen=True)
class Batch:
    """Ways with as many crossings, and as many links between old ones.

    Attributes
    ----------
    numbers : array (ways,)
        Their numbers among all ways of the shape.
    direct : Links
        Between crossings of the left cut.
    before, after : list of Links
        For each new variable, links to it and from it, the other end older.
    cost : array (ways,)
    move, slot, variable, offset, turn : array (crossings, ways)
        As in :class:`~.ways.Crossing`.
    """

    numbers: Ints
    direct: Links
    before: list[Links]
    after: list[Links]
    cost: Ints
    move: Ints
    slot: Ints
    variable: Ints
    offset: Ints
    turn: Ints


def batches(ways: Sequence[Way], old: int) -> list[Batch]:
    """All of them; `old` is the number of crossings of the left cut."""
    alike: dict[tuple[int, int], list[int]] = {}
    for number, way in enumerate(ways):
        direct = sum(x != y and max(x, y) < old for x, y, _ in (*way.least, *way.most))
        alike.setdefault((len(way.crossings), direct), []).append(number)
    return [_batch(ways, numbers, old) for numbers in alike.values()]


def _batch(ways: Sequence[Way], numbers: list[int], old: int) -> Batch:
    some = [ways[number] for number in numbers]
    links = [_links(way, old) for way in some]
    new = range(old, len(some[0].order))

    def each(name: str) -> Ints:
        rows = [[getattr(crossing, name) for crossing in way.crossings] for way in some]
        return np.array(rows, np.int64).reshape(len(some), -1).T

    return Batch(
        np.array(numbers),
        _table([[link for link in own if max(link[:2]) < old] for own in links]),
        [_table([[k for k in own if k[1] == v > k[0]] for own in links]) for v in new],
        [_table([[k for k in own if k[0] == v > k[1]] for own in links]) for v in new],
        np.array([way.cost for way in some], np.int64),
        *(each(name) for name in ("move", "slot", "variable", "offset", "turn")),
    )


def _table(links: list[list[_Link]]) -> Links:
    """Links of every way, filled up to equally many."""
    table = np.zeros((max(map(len, links)), 4, len(links)), np.int64)
    table[:, 2] = NOTHING
    for column, own in enumerate(links):
        if own:
            table[: len(own), :, column] = own
    return Links(*table.transpose(1, 0, 2))


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
