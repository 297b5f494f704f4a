"""The moves of a line as arrays, and room to work in, for compiled loops."""

from __future__ import annotations

from typing import NamedTuple, Self

import numpy as np
from numpy.typing import NDArray

from ...compiled import padded
from ..annealing.chain import Ints
from ..annealing.loads import Loads

NEVER = np.int32(-(1 << 28))
"""In place of a least time, that there is none; times worked out from it stay below half of it."""


class Line(NamedTuple):
    """Moves of several loads, as of :class:`~..annealing.loads.Loads`, which says what each is."""

    gaps: Ints
    least: Ints
    most: Ints
    alone: NDArray[np.bool_]
    back: Ints
    begins: Ints
    ends: Ints
    shared: Ints

    @classmethod
    def of(cls, loads: Loads) -> Self:
        """The same arrays."""
        return cls(
            loads.gaps, loads.least, loads.most, loads.alone, loads.back, loads.begins,
            loads.ends, loads.shared,
        )  # fmt: skip


class Space(NamedTuple):
    """Room for the search, made once: its contents mean nothing between two calls.

    Attributes
    ----------
    networks : array (deepest + 1, moves, columns)
        Least times between moves, for every number of moves put back.
    row : array (columns,)
    longest : array (moves,)
        Greatest time from the start of the move before, for the cycle time looked at.
    times, came_from, marks : array (moves,)
        Times of an order of moves, the move each comes from, and marks on the way back.
    order, wraps, other_order, other_wraps, rank, other_rank : array (moves,)
        The present order of moves, cycles that each is counted on over, and each one's place;
        the same of what is tried.
    best_order, best_wraps : array (moves,)
        The order with the least cycle time.
    kept : array (moves,)
        Whether a move is in the order.
    critical, out : array (moves,)
        Moves that keep the cycle from being shorter; moves taken out.
    slots, cycles, prices : array (deepest + 1, any)
        Where the move put back next may go, by how many were put back.
    left, chosen, taken : array (deepest + 1,)
        How many of these are not tried yet, which move that is, and where it went.
    """

    networks: NDArray[np.int32]
    row: NDArray[np.int32]
    longest: Ints
    times: Ints
    came_from: Ints
    marks: Ints
    order: Ints
    wraps: Ints
    other_order: Ints
    other_wraps: Ints
    rank: Ints
    other_rank: Ints
    best_order: Ints
    best_wraps: Ints
    kept: NDArray[np.bool_]
    critical: Ints
    out: Ints
    slots: Ints
    cycles: Ints
    prices: NDArray[np.float64]
    left: Ints
    chosen: Ints
    taken: Ints

    def begin_with(self, starts: Ints, cycle: int) -> None:
        """Have the order of starts, in ticks, counted on over cycles, as the other order."""
        first = starts.min()
        self.other_order[:] = np.argsort((starts - first) % cycle, kind="stable")
        self.other_wraps[:] = (starts - first) // cycle

    @classmethod
    def of(cls, moves: int, deepest: int) -> Self:
        """Room for so many moves, of which so many are taken out at the most."""
        columns, depths = padded(moves), deepest + 2
        wide = (depths, 4 * moves)
        return cls(
            np.full((depths, moves, columns), NEVER, np.int32),
            np.full(columns, NEVER, np.int32),
            *(np.zeros(moves, np.int64) for _ in range(12)),
            np.zeros(moves, np.bool_),
            *(np.zeros(moves, np.int64) for _ in range(2)),
            *(np.zeros(wide, np.int64) for _ in range(2)),
            np.zeros(wide),
            *(np.zeros(depths, np.int64) for _ in range(3)),
        )
