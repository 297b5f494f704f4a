"""The moves of a line as arrays, the tanks they lead to now, and room to work in."""

from __future__ import annotations

from typing import Any, NamedTuple, Self

import numpy as np
from numpy.typing import NDArray

from ..annealing.chain import Ints

BLOCK = 4
"""Moves by way of which times are worked out at once."""

NEVER = np.int32(-(1 << 28))
"""In place of a least time, that there is none; times worked out from it stay below half of it."""


class Line(NamedTuple):
    """What holds for the moves of several loads whatever tanks they lead to. Times are in ticks.

    A dwell goes by the move after it. Its options are the places that it may be in: of a station of
    several places every one is an option of its own. First moves have one, the load station.

    Attributes
    ----------
    begins, ends : array (moves,)
        First and last move of the load of each.
    shared : array (moves, any)
        Moves before which there is a dwell that may be in the same place; filled up with -1.
    options : array (moves,)
        How many options the dwell before a move has.
    station, slot : array (moves, options)
        The station of each, and a number that only the same place has, -1 where dwells do not
        shut each other out.
    target : array (moves,)
        The station that a load's last move leads to.
    duration, shaved : array (moves, options, options)
        Of the move from an option of the dwell before to one of the dwell after (0 where there is
        none): how long it takes, -1 where there is no way, and what the maximum after it loses.
    shortest, longest : array (moves,)
        Limits of the dwell before; the second -1 for none.
    empty : array (stations, stations)
        Travel of the empty hoist.
    """

    begins: Ints
    ends: Ints
    shared: Ints
    options: Ints
    station: Ints
    slot: Ints
    target: Ints
    duration: Ints
    shaved: Ints
    shortest: Ints
    longest: Ints
    empty: Ints


class Tanks(NamedTuple):
    """The option that each dwell has now, and what follows from all of them.

    Attributes
    ----------
    option : array (moves,)
        Of the dwell before each move.
    gaps : array (moves, moves)
        Minimum time from the start of a move to that of a later one.
    least, most : array (moves,)
        Limits on the time from the start of the move before of the same load; `most` is -1 for
        none, and both mean nothing for first moves.
    """

    option: Ints
    gaps: Ints
    least: Ints
    most: Ints

    @classmethod
    def of(cls, option: Ints) -> Self:
        """Room for what follows from options; the loops work it out."""
        count = len(option)
        arrays = (np.zeros((count, count), np.int64), *np.zeros((2, count), np.int64))
        return cls(option, *arrays)


class Space(NamedTuple):
    """Room for the search, made once: its contents mean nothing between two calls.

    Attributes
    ----------
    networks : array (deepest, moves, columns)
        Least times between moves, for every number of moves put back.
    rows : array (any, columns)
        Times from a few moves.
    within : array (moves,)
        Greatest time from the start of the move before, for the cycle time looked at.
    times, came_from, marks : array (moves,)
        Times of an order of moves, the move each comes from, and marks on the way back.
    order, wraps, other_order, other_wraps, rank, other_rank : array (moves,)
        The present order of moves, cycles that each is counted on over, and each one's place;
        the same of what is tried.
    best_order, best_wraps, best_option : array (moves,)
        Those with the least cycle time.
    critical, out, changed, option_before : array (moves,)
        Moves that keep the cycle from being shorter; moves taken out; of these, such with another
        tank before them, and which one they had.
    kept : array (moves,)
        Whether a move is in the order.
    befores, cycles, prices : array (deepest, out, any)
        Where each move that is out may go, by how many were put back: the move it comes after, the
        cycle, and how roomy that is.
    found : array (deepest, out)
        How many of these there are.
    linked : array (deepest, out)
        Whether the time between the move and those in the order has limits.
    left, chosen, taken : array (deepest,)
        Of the move put back next, how many of its places are not tried yet; its number among those
        that are out; and where it went.
    """

    networks: NDArray[np.int32]
    rows: NDArray[np.int32]
    within: Ints
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
    best_option: Ints
    critical: Ints
    out: Ints
    changed: Ints
    option_before: Ints
    kept: NDArray[np.bool_]
    befores: Ints
    cycles: Ints
    prices: NDArray[np.float64]
    found: Ints
    linked: NDArray[np.bool_]
    left: Ints
    chosen: Ints
    taken: Ints

    @classmethod
    def of(cls, moves: int, most: int) -> Self:
        """Room for so many moves, of which so many are taken out at the most."""
        from ...compiled import padded

        columns, deepest = padded(moves), most + 2
        wide = (deepest, most, 2 * moves)
        arrays: list[Any] = [
            np.full((deepest, moves, columns), NEVER, np.int32),
            np.full((BLOCK, columns), NEVER, np.int32),
            *np.zeros((17, moves), np.int64),
            np.zeros(moves, np.bool_),
            *np.zeros((2, *wide), np.int64),
            np.zeros(wide),
            np.zeros((deepest, most), np.int64),
            np.zeros((deepest, most), np.bool_),
            *np.zeros((3, deepest), np.int64),
        ]
        return cls(*arrays)

    def begin_with(self, starts: Ints, cycle: int) -> None:
        """Have the order of starts, in ticks, counted on over cycles, as the other order."""
        first = starts.min()
        self.other_order[:] = np.argsort((starts - first) % cycle, kind="stable")
        self.other_wraps[:] = (starts - first) // cycle
