"""What is known at a cut: the ways to serve all that lies on its left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .span import Span
from .ways import EMPTY, PASSING, Shape
from .zones import Ints, distinct, minimal


def pairs(shape: Shape) -> list[tuple[int, int]]:
    """Crossings whose least times say all about the left of a cut.

    From one that what happens there may have to wait for, to the next of another that it
    may hold up.
    """
    outgoing = [place for place, (way, kind) in enumerate(shape) if way == "R" or kind != EMPTY]
    incoming = [place for place, (way, kind) in enumerate(shape) if way == "L" or kind != EMPTY]
    return [(start, end) for end in outgoing for start in incoming if start != end]


@dataclass
class Front:
    """Rows that share the shape of their crossings.

    Attributes
    ----------
    shape : Shape
        Begins with a crossing to the right.
    ids : array (rows, passing)
        Moves at the PASSING places of the shape.
    apart : array (rows, pairs)
        Least times between crossings, by the pairs of the shape.
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
        return Front(self.shape, self.ids[rows], self.apart[rows], self.cost[rows], self.came[rows])

    @staticmethod
    def joined(parts: list[Front]) -> Front:
        """All rows of several."""
        if len(parts) == 1:
            return parts[0]
        return Front(
            parts[0].shape,
            np.concatenate([part.ids for part in parts]),
            np.concatenate([part.apart for part in parts]),
            np.concatenate([part.cost for part in parts]),
            np.concatenate([part.came for part in parts]),
        )


def moves(shape: Shape, ids: Ints) -> Ints:
    """Crossings of rows with these passing moves, array (rows, crossings): moves, or EMPTY."""
    found = np.empty((len(ids), len(shape)), np.int16)
    found[:] = [kind for _, kind in shape]
    found[:, [place for place, (_, kind) in enumerate(shape) if kind == PASSING]] = ids
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
    ends = span.ends(front.apart)[: 1 if span.low == span.high else 2]
    table = np.concatenate([front.cost[:, None], *ends], axis=1, dtype=np.int32)
    _, which = distinct(front.ids)
    order = np.argsort(which, kind="stable")
    groups = np.split(order, np.flatnonzero(np.diff(which[order])) + 1)
    found, exact = [], True
    for group in groups:
        rows = group[minimal(table[group])]
        if len(rows) > width:
            exact = False
            rows = _blended(front, rows, width, span, ends)
        found.append(rows)
    return front.take(np.concatenate(found)), exact


def _blended(front: Front, rows: Ints, width: int, span: Span, ends: Sequence[Ints]) -> Ints:
    """The cheapest rows, and the others put together."""
    rows = rows[np.argsort(front.cost[rows], kind="stable")]
    blends = max(1, width // _BLENDS)
    heads = []
    for some in np.array_split(rows[width - blends :], blends):
        head = some[0]
        front.apart[head] = span.below(ends[0][some].min(axis=0), ends[-1][some].min(axis=0))
        front.cost[head] = front.cost[some].min()
        heads.append(head)
    return np.concatenate([rows[: width - blends], heads])
