"""States: what has to be known of the left of a cut, for all ways to serve what lies there."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from ..times.span import Ints
from ..transitions.crossings import EMPTY, PASSING, Pattern


@lru_cache(maxsize=4096)  # tables of few states ask for those of few patterns again and again
def separated_pairs(pattern: Pattern) -> tuple[tuple[int, int], ...]:
    """Return the pairs of crossings whose separations a state keeps, each from one to another.

    The first of a pair is a crossing that events on the left may have to wait for: one to the
    left, or one to the right with a load, whose tank is free from then on. The second is one
    that events on the left may hold up: one to the right, or one to the left with a load, whose
    tank must be free by then. A separation counts to the next occurrence of the second.
    """
    outgoing = [place for place, (side, kind) in enumerate(pattern) if side == "R" or kind != EMPTY]
    incoming = [place for place, (side, kind) in enumerate(pattern) if side == "L" or kind != EMPTY]
    return tuple((start, end) for end in outgoing for start in incoming if start != end)


class StateArrays(NamedTuple):
    """States with one pattern of crossings, as compiled loops read them.

    Attributes
    ----------
    separation : array (states, pairs)
    cost : array (states,)
    passing : array (states,)
        Which moves are at the PASSING places of the pattern: their number in `Successors`.
    tail, head : array (pairs,)
        The crossings that each separation is from and to.
    """

    separation: Ints
    cost: Ints
    passing: Ints
    tail: Ints
    head: Ints


@dataclass
class StateTable:
    """The states of a layer that share the pattern of their crossings, a row each.

    Two states have the same key if they share the pattern and the passing moves too: then any
    way to serve the rest of the line after one is a way after the other, but for times.

    Attributes
    ----------
    pattern : Pattern
        Begins with a crossing to the right.
    passing : array (states, PASSING places)
        Moves at the PASSING places of the pattern.
    separation : array (states, pairs)
        Minimum separations of crossings as packed times, by :func:`separated_pairs`.
    cost : array (states,)
        Ticks of the hoist, at the least, for all that begins or ends left of the cut.
    parent : array (states, 4)
        Where a state comes from: number of the table in the layer before and of the state in
        it, number of the transition among those of its pattern, and which crossing of the
        transition is the first of this pattern.
    """

    pattern: Pattern
    passing: Ints
    separation: Ints
    cost: Ints
    parent: Ints

    def __len__(self) -> int:
        return len(self.cost)

    @staticmethod
    def root() -> StateTable:
        """Return the one state left of the first station, where there is nothing."""
        return StateTable(
            (),
            np.zeros((1, 0), np.int16),
            np.zeros((1, 0), np.int32),
            np.zeros(1, np.int64),
            np.zeros((1, 4), np.int64),
        )

    def take(self, rows: Ints) -> StateTable:
        """Return some of the states."""
        return StateTable(
            self.pattern,
            self.passing[rows],
            self.separation[rows],
            self.cost[rows],
            self.parent[rows],
        )

    @staticmethod
    def joined(parts: list[StateTable]) -> StateTable:
        """Return all states of several tables with one pattern."""
        if len(parts) == 1:
            return parts[0]
        return StateTable(
            parts[0].pattern,
            np.concatenate([part.passing for part in parts]),
            np.concatenate([part.separation for part in parts]),
            np.concatenate([part.cost for part in parts]),
            np.concatenate([part.parent for part in parts]),
        )

    def arrays(self, passing: Ints) -> StateArrays:
        """Return the states as compiled loops read them, their passing moves by number."""
        return StateArrays(self.separation, self.cost, passing, *_pair_arrays(self.pattern))


@lru_cache(maxsize=4096)
def _pair_arrays(pattern: Pattern) -> tuple[Ints, Ints]:
    """Return the crossings that each separation is from, and to."""
    pairs = np.array(separated_pairs(pattern), np.int64)
    tail, head = pairs.reshape(-1, 2).T.copy()
    return tail, head


Layer = list[StateTable]
"""All states at one cut, by pattern."""


def crossings_of(pattern: Pattern, passing: Ints) -> Ints:
    """Return crossings of states with these passing moves.

    Returns
    -------
    array (rows, crossings)
        Moves, or EMPTY.
    """
    found = np.empty((len(passing), len(pattern)), np.int16)
    found[:] = [kind for _, kind in pattern]
    found[:, [place for place, (_, kind) in enumerate(pattern) if kind == PASSING]] = passing
    return found
