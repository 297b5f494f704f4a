"""What is known at a cut: the ways to serve all that lies on its left."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .span import Span
from .ways import EMPTY, PASSING, Shape
from .zones import Ints, distinct, minimal


def outgoing(shape: Shape) -> list[int]:
    """Crossings that what happens on the left may hold up."""
    return [place for place, (way, kind) in enumerate(shape) if way == "R" or kind != EMPTY]


def incoming(shape: Shape) -> list[int]:
    """Crossings that what happens on the left may have to wait for."""
    return [place for place, (way, kind) in enumerate(shape) if way == "L" or kind != EMPTY]


@dataclass
class Front:
    """Rows that share the shape of their crossings.

    Attributes
    ----------
    shape : Shape
        Begins with a crossing to the right.
    ids : array (rows, passing)
        Moves at the PASSING places of the shape.
    apart : array (outgoing, incoming, rows)
        Least time from an incoming crossing to the next of an outgoing one.
    cost : array (rows,)
        Least time of the hoist for all that begins or ends left of the cut.
    came : array (rows, 4)
        To find back: front and row at the cut before, number of the way from there, and
        which of its crossings is the first of the shape.
    """

    shape: Shape
    ids: Ints
    apart: Ints
    cost: Ints
    came: Ints

    def __len__(self) -> int:
        return len(self.cost)

    def take(self, rows: Ints) -> Front:
        """Some of the rows."""
        return Front(
            self.shape, self.ids[rows], self.apart[:, :, rows], self.cost[rows], self.came[rows]
        )

    @staticmethod
    def joined(parts: list[Front]) -> Front:
        """All rows of several."""
        if len(parts) == 1:
            return parts[0]
        return Front(
            parts[0].shape,
            np.concatenate([part.ids for part in parts]),
            np.concatenate([part.apart for part in parts], axis=2),
            np.concatenate([part.cost for part in parts]),
            np.concatenate([part.came for part in parts]),
        )

    def moves(self) -> Ints:
        """Crossings of every row, array (rows, crossings): moves, or EMPTY."""
        found = np.empty((len(self), len(self.shape)), np.int16)
        slot = 0
        for place, (_, kind) in enumerate(self.shape):
            if kind == PASSING:
                found[:, place] = self.ids[:, slot]
                slot += 1
            else:
                found[:, place] = kind
        return found

    def gaps(self, nothing: int) -> Ints:
        """``[x, y]``: least time from crossing x to the next y, array (all, all, rows)."""
        count = len(self.shape)
        found = np.full((count, count, len(self)), nothing, np.int32)
        for i, x in enumerate(outgoing(self.shape)):
            for j, y in enumerate(incoming(self.shape)):
                if x != y:
                    found[y, x] = self.apart[i, j]
        return found


_BLENDS = 64
"""Of so many rows kept at a cut, one stands for many."""


def kept(parts: list[Front], span: Span, width: int) -> tuple[Front, bool]:
    """Rows that no other row makes needless, and not too many of them.

    Parameters
    ----------
    width : int
        Of more rows of one signature some are blended: a row that allows what any does.

    Returns
    -------
    front : Front
    exact : bool
        Whether none were blended.
    """
    front = Front.joined(parts)
    flat = front.apart.reshape(-1, len(front))
    columns = (
        [front.cost[None], flat] if span.low == span.high else [front.cost[None], *span.ends(flat)]
    )
    table = np.concatenate(columns)
    if front.ids.shape[1]:
        _, which = distinct(front.ids)
        order = np.argsort(which, kind="stable")
        groups = np.split(order, np.flatnonzero(np.diff(which[order])) + 1)
    else:
        groups = [np.arange(len(front))]
    found, exact = [], True
    for group in groups:
        rows = group[minimal(table[:, group])]
        if len(rows) > width:
            exact = False
            rows = _blended(front, rows, width, span)
        found.append(rows)
    return front.take(np.concatenate(found)), exact


def _blended(front: Front, rows: Ints, width: int, span: Span) -> Ints:
    """The cheapest rows, and the others put together."""
    rows = rows[np.argsort(front.cost[rows], kind="stable")]
    blends = max(1, width // _BLENDS)
    heads = []
    for some in np.array_split(rows[width - blends :], blends):
        head = some[0]
        low, high = span.ends(front.apart[:, :, some])
        front.apart[:, :, head] = span.below(low.min(axis=2), high.min(axis=2))
        front.cost[head] = front.cost[some].min()
        heads.append(head)
    return np.concatenate([rows[: width - blends], heads])


def front_of(shape: Shape, seen: Ints, gaps: Ints, cost: Ints, came: Ints, span: Span) -> Front:
    """A front of rows whose least times in one turn of the cycle are `gaps`."""
    later, earlier = outgoing(shape), incoming(shape)
    apart = np.zeros((len(later), len(earlier), len(cost)), np.int32)
    for i, x in enumerate(later):
        for j, y in enumerate(earlier):
            if x != y:
                apart[i, j] = span.later(gaps[y, x]) if y > x else gaps[y, x]
    passing = [place for place, (_, kind) in enumerate(shape) if kind == PASSING]
    return Front(shape, seen[:, passing], apart, cost, came)
