"""The moves of a line of one load a cycle as arrays, for annealing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from ....instance import Instance, Stay
from ...bounds import horizon, least_rest

Ints = npt.NDArray[Any]


@dataclass(frozen=True)
class Chain:
    """Moves of one load, in order of its stages. Times are in ticks.

    Attributes
    ----------
    gaps : array (moves, moves)
        Minimum time from the start of a move to that of a later one.
    least, most : array (moves,)
        Limits on the time from the start of the move before; `most` is -1 for none.
    loads : array (moves,)
        Loads that may stand at once where the move before ends; -1 for any number.
    back : array (moves,)
        Minimum time from the start of this move to the start of the next load's move before:
        with a limit on loads, so much of that many cycles cannot be dwelt. The place rests as well.
    """

    gaps: Ints
    least: Ints
    most: Ints
    loads: Ints
    back: Ints

    def __len__(self) -> int:
        return len(self.least)

    def longest(self, cycle: int) -> Ints:
        """Return by move the greatest time from the start of the move before, for a cycle time."""
        room = np.where(self.loads < 0, len(self), self.loads) * cycle - self.back
        return np.where(self.most < 0, room, np.minimum(self.most, room))

    def soonest(self) -> Ints:
        """Return the starts of all moves with every dwell at its minimum."""
        return np.cumsum(self.least)


LONGEST = 1 << 28
"""Ticks of a cycle; lines with longer ones are left out, as numbers are of 32 bits."""


def can_anneal(instance: Instance) -> bool:
    """Return whether a cycle is of one load, whose every move but the first follows a dwell."""
    return (
        instance.jobs == 1
        and all(move.index in instance.stay_before for move in instance.moves[1:])
        and horizon(instance) <= LONGEST
    )


def chain_of(instance: Instance) -> Chain:
    """Return the chain of an instance of one load a cycle.

    It is a relaxation. Left out are what two dwells of the load in the same tank ask of each
    other, and which of several places is used.
    """
    stays = [instance.stay_before[move.index] for move in instance.moves[1:]]
    each = [_following(instance, stay) for stay in stays]
    least, most, loads, back = (
        np.array([0, *column], np.int64) for column in zip(*each, strict=True)
    )
    return Chain(np.array(instance.gaps, np.int64), least, most, loads, back)


def _following(instance: Instance, stay: Stay) -> tuple[int, int, int, int]:
    before, after = instance.moves[stay.arrival], instance.moves[stay.departure]
    latest = max(route.duration - route.shaved for route in before.routes)
    capacities = [instance.places[place].capacity for place in stay.places]
    loads = -1 if None in capacities else sum(c for c in capacities if c is not None)
    rested = least_rest(instance, stay, stay) - max(route.duration for route in before.routes)
    return (
        before.shortest + stay.least,
        -1 if stay.most is None else latest + stay.most,
        loads,
        max(instance.gaps[after.index][before.index], rested),
    )
