"""Completion bounds: what a pass in the other direction says about the far side of a cut.

The states of a backward pass at a cut say what all that lies right of the cut takes at the
least. A forward pass uses that as a bound on how its states can be completed: a state without
any completion is dropped. Passes take turns, each with the bounds of the one before.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ..layers.distinct import distinct_rows
from ..layers.states import Layer, crossings_of, separated_pairs
from ..line import Line
from ..times.span import NO_BOUND, SCALE, Ints, Span
from ..transitions.crossings import EMPTY

StateKey = bytes
"""The crossings of a cut, beginning with one that passes in both directions agree on."""


class BoundSteps(NamedTuple):
    """What the far side of a cut takes, all state keys one after another.

    The less time the hoist has on the far side, the fewer states there are possible, and the
    larger the separations that all of them have in common. So bounds come in steps.

    Attributes
    ----------
    begin : array (keys + 1,)
        Where the steps of each key begin.
    rest : array (steps,)
        Ticks of the hoist for all that does not touch the left of the cut, rising; the first
        of a key is the least.
    place : array (keys,)
        Where the separations of each key begin.
    separation : array (any,)
        For each step, crossing and crossing: packed minimum time from the one to the next
        occurrence of the other, where the rest takes less than the next step of `rest`.
    """

    begin: Ints
    rest: Ints
    place: Ints
    separation: Ints


@dataclass(frozen=True)
class CutBound:
    """Completion bounds at one cut. State keys without a number have no completion."""

    number: dict[StateKey, int]
    steps: BoundSteps


CompletionBounds = list[CutBound]
"""By cut, from the left."""


def restricted(bounds: CompletionBounds, span: Span, within: Span) -> CompletionBounds:
    """Return bounds for a span of cycle times, packed for a part of it."""
    return [
        CutBound(
            bound.number,
            bound.steps._replace(separation=span.restricted(bound.steps.separation, within)),
        )
        for bound in bounds
    ]


def key_start(line: Line, moves: list[int], seen: Ints) -> Ints:
    """Return for each row of crossings which of them its state key begins with.

    Parameters
    ----------
    moves : list of int
        Moves over the cut.
    seen : array (rows, crossings)
        Moves or EMPTY, beginning with a crossing to the right.

    Returns
    -------
    array (rows,)
        A crossing to the right; -1 means the last one.
    """
    anchor = min(moves)
    place = (seen == anchor).argmax(axis=1)
    return place if line.source[anchor] < line.target[anchor] else place - 1


def completion_bounds(
    other: Line, layers: list[Layer], moves: list[list[int]], span: Span
) -> CompletionBounds:
    """Return what the layers of a pass say to a pass in the other direction.

    Parameters
    ----------
    other : Line
        The line of the pass: the mirrored one, seen from the pass that gets the bounds.
    layers : list of Layer
        By cut of `other`.
    moves : list of list of int
        Moves over each of its cuts.
    span : Span
        Cycle times of the pass.
    """
    return [
        _cut_bound(other, cut, layers[cut], moves[cut], span)
        for cut in range(len(layers) - 1, -1, -1)
    ]


def _cut_bound(other: Line, cut: int, layer: Layer, over: list[int], span: Span) -> CutBound:
    number: dict[StateKey, int] = {}
    rests, separations = [], []
    anchor = min(over)
    # Mirrored, crossing k of a key is crossing (shift - k): the anchor stays.
    shift = 0 if other.source[anchor] < other.target[anchor] else 2
    loads = np.array([*other.duration, 0], np.int64)
    carried = int(loads[over].sum())
    for states in layer:
        count = len(states.pattern)
        passing, which = distinct_rows(states.passing)
        seen = crossings_of(states.pattern, passing)
        start, end = np.array(separated_pairs(states.pattern)).T
        for kind, begin in enumerate(key_start(other, over, seen)):
            turned = (begin + shift - np.arange(count)) % count
            mine = seen[kind, turned]
            # A crossing has another time seen from the other side: a load is set down, not
            # lifted, and an empty hoist is at the other end of the cut.
            empty = np.where(np.arange(count) % 2 == 0, 1, -1) * other.lengths[cut]
            lag = np.where(mine == EMPTY, empty, loads[mine])
            rows = np.flatnonzero(which == kind)
            rest, separation = _steps(states.cost[rows], states.separation[rows], span)
            # Time runs backwards, so from and to change places.
            x, y = np.argsort(turned)[end], np.argsort(turned)[start]
            part = np.full((len(rest), count, count), NO_BOUND, np.int32)
            part[:, x, y] = separation + SCALE * (lag[x] - lag[y])
            number[mine.tobytes()] = len(number)
            empties = int((mine == EMPTY).sum())
            rests.append(rest - carried + empties * other.lengths[cut])
            separations.append(part.reshape(-1))
    return CutBound(
        number,
        BoundSteps(
            np.cumsum([0, *map(len, rests)]),
            np.concatenate(rests),
            np.cumsum([0, *map(len, separations[:-1])]),
            np.concatenate(separations),
        ),
    )


def _steps(cost: Ints, separation: Ints, span: Span) -> tuple[Ints, Ints]:
    """Return costs in rising order, and the least separations of all states below the next."""
    order = np.argsort(cost, kind="stable")
    cost = cost[order]
    first = np.flatnonzero(np.diff(cost, prepend=cost[0] - 1))
    if len(first) > _MOST_STEPS:
        # Several steps become one: as cheap as its first, as free as its last.
        first = first[np.linspace(0, len(first), _MOST_STEPS + 1).astype(int)[:-1]]
    low, high = (
        np.minimum.accumulate(np.minimum.reduceat(end, first, axis=0), axis=0)
        for end in span.ends(separation[order])
    )
    return cost[first], span.packed_below(low, high)


_MOST_STEPS = 256
