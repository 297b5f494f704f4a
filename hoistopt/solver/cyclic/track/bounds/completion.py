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
"""Completion bounds of a whole pass, one a cut, from the left."""


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
    many, sizes, rests, separations = [], [], [], []
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
        begin = key_start(other, over, seen)[:, None]
        turned = (begin + shift - np.arange(count)) % count
        every = np.arange(len(seen))[:, None]
        mine = seen[every, turned]
        # A crossing has another time seen from the other side: a load is set down, not
        # lifted, and an empty hoist is at the other end of the cut.
        empty = np.where(np.arange(count) % 2 == 0, 1, -1) * other.lengths[cut]
        lag = np.where(mine == EMPTY, empty, loads[mine])
        steps, rest, separation = _steps(which, states.cost, states.separation, span)
        kind = np.repeat(np.arange(len(mine)), steps)
        # Time runs backwards, so from and to change places.
        x, y = turned[:, end], turned[:, start]  # such a turn is its own inverse
        lags = lag[every, x] - lag[every, y]
        part = np.full((len(rest), count, count), NO_BOUND, np.int32)
        part[np.arange(len(rest))[:, None], x[kind], y[kind]] = separation + SCALE * lags[kind]
        number.update((key.tobytes(), place) for place, key in enumerate(mine, start=len(number)))
        empties = (mine == EMPTY).sum(axis=1)
        many.append(steps)
        sizes.append(steps * count**2)
        rests.append(rest - carried + empties[kind] * other.lengths[cut])
        separations.append(part.reshape(-1))
    return CutBound(
        number,
        BoundSteps(
            np.concatenate(([0], np.cumsum(np.concatenate(many)))),
            np.concatenate(rests),
            np.concatenate(([0], np.cumsum(np.concatenate(sizes))))[:-1],
            np.concatenate(separations),
        ),
    )


def _steps(which: Ints, cost: Ints, separation: Ints, span: Span) -> tuple[Ints, Ints, Ints]:
    """Return steps of states of several keys, those of one key one after another.

    Parameters
    ----------
    which : array (states,)
        The number of the key of each state.

    Returns
    -------
    many : array (keys,)
        How many steps there are of each key.
    rest : array (steps,)
        Costs, rising.
    separation : array (steps, pairs)
        The least separations of all states below the next cost.
    """
    order = np.lexsort((cost, which))
    which, cost = which[order], cost[order]
    other_key = np.diff(which, prepend=-1) > 0
    first = np.flatnonzero(other_key | (np.diff(cost, prepend=0) != 0))
    many = np.bincount(which[first])
    if many.max() > _MOST_STEPS:
        # Several steps become one: as cheap as its first, as free as its last.
        some = np.split(first, np.cumsum(many)[:-1])
        few = [
            one[np.linspace(0, len(one), _MOST_STEPS + 1).astype(int)[:-1]]
            if len(one) > _MOST_STEPS
            else one
            for one in some
        ]
        first, many = np.concatenate(few), np.minimum(many, _MOST_STEPS)
    low, high = (np.minimum.reduceat(end, first, axis=0) for end in span.ends(separation[order]))
    ends = np.cumsum(many)
    for key in np.flatnonzero(many > 1):
        rows = slice(ends[key] - many[key], ends[key])
        for end in (low, high):
            np.minimum.accumulate(end[rows], axis=0, out=end[rows])
    return many, cost[first], span.packed_below(low, high)


_MOST_STEPS = 256
