"""What sweeps from the other end of the track have found out about a cut."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .front import Front
from .line import Line
from .span import SCALE, Span
from .ways import EMPTY
from .zones import NOTHING, Ints, distinct

Signature = bytes
"""The crossings of a cut, beginning in a way that both directions agree on."""


@dataclass(frozen=True)
class Known:
    """What is known of one signature.

    Attributes
    ----------
    rest : array (steps,)
        Time of the hoist for all that does not touch the left of the cut; the first is
        the least.
    gaps : array (crossings, crossings, steps)
        ``[x, y]``: least time from crossing x to the next y where the rest takes less
        than the next step of `rest`.
    """

    rest: Ints
    gaps: Ints

    def within(self, time: Ints) -> Ints:
        """Least times between crossings where the rest takes at most so long, by row."""
        step = np.searchsorted(self.rest, time, side="right") - 1
        return self.gaps[:, :, np.maximum(step, 0)]


Beyond = list[dict[Signature, Known]]
"""By cut, from the left."""


def narrowed(beyond: Beyond, span: Span, within: Span) -> Beyond:
    """What is known for a span of cycle times, for a part of it."""
    return [
        {
            signature: Known(known.rest, span.narrowed(known.gaps, within))
            for signature, known in here.items()
        }
        for here in beyond
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


def _learned(
    other: Line, cut: int, fronts: list[Front], over: list[int], span: Span
) -> dict[Signature, Known]:
    parts: dict[Signature, list[tuple[Ints, Ints]]] = {}
    anchor = min(over)
    # Reversed, crossing k of a signature is crossing (shift - k): the anchor stays.
    shift = 0 if other.source[anchor] < other.target[anchor] else 2
    loads = np.array([*other.duration, 0], np.int64)
    carried = int(loads[over].sum())
    for front in fronts:
        count = len(front.shape)
        seen = front.moves()
        empties = (seen == EMPTY).sum(axis=1)
        rest = front.cost - carried + empties * other.lengths[cut]
        first = beginning(other, over, seen)
        gaps = front.gaps(NOTHING)
        for begin in np.unique(first):
            rows = np.flatnonzero(first == begin)
            turned = (begin + shift - np.arange(count)) % count
            mine = seen[np.ix_(rows, turned)]
            # What lies between the time seen from here and seen from there.
            way = np.where(np.arange(count) % 2 == 0, 1, -1) * other.lengths[cut]
            lag = np.where(mine == EMPTY, way, loads[mine]).T
            part = gaps[np.ix_(turned, turned, rows)].transpose(1, 0, 2)
            part = np.where(part > NOTHING, part + SCALE * (lag[:, None] - lag[None]), NOTHING)
            different, which = distinct(mine)
            for number, signature in enumerate(different):
                some = np.flatnonzero(which == number)
                parts.setdefault(signature.tobytes(), []).append(
                    (part[:, :, some], rest[rows[some]])
                )
    return {signature: _known(found, span) for signature, found in parts.items()}


def _known(found: list[tuple[Ints, Ints]], span: Span) -> Known:
    gaps = np.concatenate([gap for gap, _ in found], axis=2)
    rest = np.concatenate([time for _, time in found])
    order = np.argsort(rest, kind="stable")
    rest = rest[order]
    low, high = (np.minimum.accumulate(end, axis=2) for end in span.ends(gaps[:, :, order]))
    last = np.flatnonzero(np.diff(rest, append=rest[-1] + 1))
    if len(last) > _STEPS:
        # Several steps become one: as cheap as its first, as free as its last.
        kept = np.linspace(0, len(last), _STEPS + 1).astype(int)
        starts, last = last[kept[:-1]], last[kept[1:] - 1]
    else:
        starts = last
    return Known(rest[starts], span.below(low[:, :, last], high[:, :, last]))


_STEPS = 256
