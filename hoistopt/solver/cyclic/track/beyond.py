"""What sweeps from the other end of the track have found out about a cut."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .arrays import Steps
from .front import Front, moves, pairs
from .line import Line
from .span import SCALE, Span
from .ways import EMPTY
from .zones import NOTHING, Ints, distinct

Signature = bytes
"""The crossings of a cut, beginning in a way that both directions agree on."""


@dataclass(frozen=True)
class Known:
    """What is known of one cut; signatures without a number are impossible."""

    number: dict[Signature, int]
    steps: Steps


Beyond = list[Known]
"""By cut, from the left."""


def narrowed(beyond: Beyond, span: Span, within: Span) -> Beyond:
    """What is known for a span of cycle times, for a part of it."""
    return [
        Known(known.number, known.steps._replace(gaps=span.narrowed(known.steps.gaps, within)))
        for known in beyond
    ]


def beginning(line: Line, moves: list[int], seen: Ints) -> Ints:
    """For each row of crossings, where its signature begins: with a crossing to the right.

    Parameters
    ----------
    moves : list of int
        Moves over the cut.
    seen : array (rows, crossings)
        Moves or EMPTY, beginning with a crossing to the right.
    """
    anchor = min(moves)
    place = (seen == anchor).argmax(axis=1)
    return place if line.source[anchor] < line.target[anchor] else place - 1


def learned(other: Line, fronts: list[list[Front]], moves: list[list[int]], span: Span) -> Beyond:
    """What the fronts of a sweep along the reversed line say.

    Parameters
    ----------
    other : Line
        The reversed line, along which the sweep went.
    moves : list of list of int
        Moves over each of its cuts.
    span : Span
        Cycle times the sweep was for.
    """
    return [
        _learned(other, cut, fronts[cut], moves[cut], span)
        for cut in range(len(fronts) - 1, -1, -1)
    ]


def _learned(other: Line, cut: int, fronts: list[Front], over: list[int], span: Span) -> Known:
    number: dict[Signature, int] = {}
    rests, gaps = [], []
    anchor = min(over)
    # Reversed, crossing k of a signature is crossing (shift - k): the anchor stays.
    shift = 0 if other.source[anchor] < other.target[anchor] else 2
    loads = np.array([*other.duration, 0], np.int64)
    carried = int(loads[over].sum())
    for front in fronts:
        count = len(front.shape)
        ids, which = distinct(front.ids)
        seen = moves(front.shape, ids)
        start, end = np.array(pairs(front.shape)).T
        for kind, begin in enumerate(beginning(other, over, seen)):
            turned = (begin + shift - np.arange(count)) % count
            mine = seen[kind, turned]
            # What lies between the time seen from here and seen from there.
            way = np.where(np.arange(count) % 2 == 0, 1, -1) * other.lengths[cut]
            lag = np.where(mine == EMPTY, way, loads[mine])
            rows = np.flatnonzero(which == kind)
            rest, apart = _steps(front.cost[rows], front.apart[rows], span)
            # From crossing to crossing, time runs backwards too.
            x, y = np.argsort(turned)[end], np.argsort(turned)[start]
            part = np.full((len(rest), count, count), NOTHING, np.int32)
            part[:, x, y] = apart + SCALE * (lag[x] - lag[y])
            number[mine.tobytes()] = len(number)
            empties = int((mine == EMPTY).sum())
            rests.append(rest - carried + empties * other.lengths[cut])
            gaps.append(part.reshape(-1))
    return Known(
        number,
        Steps(
            np.cumsum([0, *map(len, rests)]),
            np.concatenate(rests),
            np.cumsum([0, *map(len, gaps[:-1])]),
            np.concatenate(gaps),
        ),
    )


def _steps(cost: Ints, apart: Ints, span: Span) -> tuple[Ints, Ints]:
    """Costs in rising order, and the least times of all rows below the next of them."""
    order = np.argsort(cost, kind="stable")
    cost = cost[order]
    first = np.flatnonzero(np.diff(cost, prepend=cost[0] - 1))
    if len(first) > _STEPS:
        # Several steps become one: as cheap as its first, as free as its last.
        first = first[np.linspace(0, len(first), _STEPS + 1).astype(int)[:-1]]
    low, high = (
        np.minimum.accumulate(np.minimum.reduceat(end, first, axis=0), axis=0)
        for end in span.ends(apart[order])
    )
    return cost[first], span.below(low, high)


_STEPS = 256
