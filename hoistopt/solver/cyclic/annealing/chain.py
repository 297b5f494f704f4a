"""One load's way through the line as arrays: all that annealing looks at."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from ....instance import Instance, Stay
from ...bounds import horizon

Ints = npt.NDArray[Any]


@dataclass(frozen=True)
class Chain:
    """Moves of one load, in order of its stages. Times are in ticks.

    Attributes
    ----------
    gaps : array (moves, moves)
        Least time from the start of a move to that of a later one.
    least, most : array (moves,)
        Time from the start of the move before; -1 where there is no most.
    loads : array (moves,)
        So many loads may stand at once where the move before ends; -1 for any number.
    back : array (moves,)
        Of that many cycles, the time that has to be left for the next load to arrive.
    """

    gaps: Ints
    least: Ints
    most: Ints
    loads: Ints
    back: Ints

    def __len__(self) -> int:
        return len(self.least)

    def longest(self, cycle: int) -> Ints:
        """The most time from the start of the move before, in cycles so long, by move."""
        room = np.where(self.loads < 0, len(self), self.loads) * cycle - self.back
        return np.where(self.most < 0, room, np.minimum(self.most, room))

    def soonest(self) -> Ints:
        """Starts of all moves with every dwell as short as can be."""
        return np.cumsum(self.least)


LONGEST = 1 << 28
"""Lines whose cycles may take more ticks than that are left out: numbers of 32 bits are used."""


def can_anneal(instance: Instance) -> bool:
    """Whether there is one load in a cycle, whose every move but the first follows a dwell."""
    return (
        instance.jobs == 1
        and all(move.index in instance.stay_before for move in instance.moves[1:])
        and horizon(instance) <= LONGEST
    )


def chain_of(instance: Instance) -> Chain:
    """The chain of an instance of one load.

    Left out is what two dwells of the load in the same tank allow each other, and which of
    several places is used.
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
    return (
        before.shortest + stay.least,
        -1 if stay.most is None else latest + stay.most,
        loads,
        instance.gaps[after.index][before.index],
    )
