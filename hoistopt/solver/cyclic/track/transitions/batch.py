"""Transitions as arrays for compiled loops, those with equally many crossings together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ..times.span import NO_BOUND, Ints
from .crossings import Transition

_Arc = tuple[int, int, int, int]


class ArcTable(NamedTuple):
    """Minimum-separation arcs of the transitions of a batch.

    Arc k says that variable ``head[k]`` is at least ``length[k] - height[k] T`` after variable
    ``tail[k]``, for a cycle time T, both within one turn of the cycle that begins with the first
    crossing of the left cut.

    Attributes
    ----------
    old, variables : int
        Variables that are crossings of the left cut, and all of them.
    cost : array (transitions,)
    part : array (transitions, parts + 1)
        Where the arcs of a part begin. The first part are those between old variables; then
        two for each new variable in turn: arcs to it, and arcs from it, the other end older.
    tail, head, length, height : array (arcs,)
    """

    old: int
    variables: int
    cost: Ints
    part: Ints
    tail: Ints
    head: Ints
    length: Ints
    height: Ints


@dataclass(frozen=True)
class Batch:
    """Transitions with equally many crossings of the right cut.

    Attributes
    ----------
    numbers : array (transitions,)
        Their numbers among all transitions from the pattern.
    arcs : ArcTable
    move, slot, variable, offset, height : array (transitions, crossings)
        As in :class:`~.crossings.Crossing`.
    """

    numbers: Ints
    arcs: ArcTable
    move: Ints
    slot: Ints
    variable: Ints
    offset: Ints
    height: Ints


def batches(transitions: Sequence[Transition], old: int) -> list[Batch]:
    """Return transitions as batches.

    Parameters
    ----------
    transitions : sequence of Transition
        All from one pattern.
    old : int
        Number of crossings of the left cut.
    """
    alike: dict[int, list[int]] = {}
    for number, transition in enumerate(transitions):
        alike.setdefault(len(transition.crossings), []).append(number)
    return [_batch(transitions, numbers, old) for numbers in alike.values()]


def _batch(transitions: Sequence[Transition], numbers: list[int], old: int) -> Batch:
    some = [transitions[number] for number in numbers]

    def each(name: str) -> Ints:
        rows = [[getattr(crossing, name) for crossing in one.crossings] for one in some]
        return np.array(rows, np.int64).reshape(len(some), -1)

    return Batch(
        np.array(numbers),
        _arc_table(some, old),
        *(each(name) for name in ("move", "slot", "variable", "offset", "height")),
    )


def _arc_table(transitions: list[Transition], old: int) -> ArcTable:
    """Return the arcs of all transitions, one transition after another."""
    count = len(transitions[0].order)
    rows: list[_Arc] = []
    parts = []
    for transition in transitions:
        arcs = _arcs(transition, old)
        own = [[arc for arc in arcs if max(arc[:2]) < old]]
        for v in range(old, count):
            own += [[k for k in arcs if k[1] == v > k[0]], [k for k in arcs if k[0] == v > k[1]]]
        parts.append(np.cumsum([len(rows), *map(len, own)]))
        rows += [arc for part in own for arc in part]
    cost = np.array([transition.cost for transition in transitions], np.int64)
    columns = np.array(rows, np.int64).reshape(-1, 4).T.copy()
    return ArcTable(old, count, cost, np.array(parts), *columns)


def _arcs(transition: Transition, old: int) -> list[_Arc]:
    """Return the arcs of a transition; of several between the same events the longest.

    Its order of events counts too. That of two old variables is known from the left cut.
    """
    at = {variable: place for place, variable in enumerate(transition.order)}
    found: dict[tuple[int, int, int], int] = {}

    def add(x: int, y: int, length: int, height: int) -> None:
        if x != y:
            found[x, y, height] = max(length, found.get((x, y, height), NO_BOUND))

    order = transition.order
    for x, y in zip(order, [*order[1:], order[0]], strict=True):
        if max(x, y) >= old:
            add(x, y, 0, int(at[x] > at[y]))
    for x, y, time in transition.least:
        add(x, y, time, int(at[x] > at[y]))
    for x, y, time in transition.most:
        add(y, x, -time, -int(at[x] > at[y]))
    return [(x, y, length, height) for (x, y, height), length in found.items()]
