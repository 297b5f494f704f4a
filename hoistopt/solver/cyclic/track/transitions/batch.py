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
    least : int
        The least of their costs.
    arcs : ArcTable
    move, slot, variable, offset, height : array (transitions, crossings)
        As in :class:`~.crossings.Crossing`.
    """

    numbers: Ints
    least: int
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

    rows = [
        (crossing.move, crossing.slot, crossing.variable, crossing.offset, crossing.height)
        for one in some
        for crossing in one.crossings
    ]
    fields = np.array(rows, np.int64).reshape(len(some), len(some[0].crossings), 5)
    return Batch(
        np.array(numbers),
        min(one.cost for one in some),
        _arc_table(some, old),
        *(fields[:, :, field].copy() for field in range(5)),
    )


def _arc_table(transitions: list[Transition], old: int) -> ArcTable:
    """Return the arcs of all transitions, one transition after another."""
    count = len(transitions[0].order)
    rows: list[_Arc] = []
    parts = []
    for transition in transitions:
        own: list[list[_Arc]] = [[] for _ in range(1 + 2 * (count - old))]
        for arc in _arcs(transition, old):
            tail, head, _, _ = arc
            if tail > head:
                own[2 * (tail - old) + 2 if tail >= old else 0].append(arc)
            else:
                own[2 * (head - old) + 1 if head >= old else 0].append(arc)
        begins = [len(rows)]
        for part in own:
            rows += part
            begins.append(len(rows))
        parts.append(begins)
    cost = np.array([transition.cost for transition in transitions], np.int64)
    columns = np.array(rows, np.int64).reshape(-1, 4).T.copy()
    return ArcTable(old, count, cost, np.array(parts, np.int64), *columns)


def _arcs(transition: Transition, old: int) -> list[_Arc]:
    """Return the arcs of a transition; of several between the same events the longest.

    Its order of events counts too. That of two old variables is known from the left cut.
    """
    order = transition.order
    at = [0] * len(order)
    for place, variable in enumerate(order):
        at[variable] = place
    found: dict[tuple[int, int, int], int] = {}
    asked = [
        (x, y, 0, int(at[x] > at[y]))
        for x, y in zip(order, [*order[1:], order[0]], strict=True)
        if x >= old or y >= old
    ]
    asked += [(x, y, time, int(at[x] > at[y])) for x, y, time in transition.least]
    asked += [(y, x, -time, -int(at[x] > at[y])) for x, y, time in transition.most]
    for x, y, length, height in asked:
        key = x, y, height
        if x != y and length >= found.get(key, NO_BOUND):
            found[key] = length
    return [(x, y, length, height) for (x, y, height), length in found.items()]
