"""The moves of several loads as arrays, for annealing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np

from ....instance import Instance
from ...bounds import horizon
from .chain import LONGEST, Ints


@dataclass(frozen=True)
class Loads:
    """Moves of several loads as arrays, in order of load and stage. Times are in ticks.

    Attributes
    ----------
    gaps : array (moves, moves)
        Minimum time from the start of a move to that of a later one.
    least, most : array (moves,)
        Limits on the time from the start of the move before of the same load; `most` is -1 for
        none, and both are 0 for first moves.
    alone : array (moves,)
        Whether the dwell before a move has a place to itself.
    back : array (moves,)
        Minimum time from the start of this move to that of the load's move before, a cycle on.
    begins, ends : array (moves,)
        First and last move of the load of each.
    shared : array (moves, any)
        Moves before which there is a dwell in the same place; filled up with -1.
    """

    gaps: Ints
    least: Ints
    most: Ints
    alone: Ints
    back: Ints
    begins: Ints
    ends: Ints
    shared: Ints

    @classmethod
    def of(cls, instance: Instance, places: Sequence[int]) -> Self:
        """The arrays of an instance in which every dwell is in one station.

        A relaxation: left out are rests, the ends of the line, carriers, the order of entering
        and that of leaving a station of several places.

        Parameters
        ----------
        places : sequence of int
            By stay the number of its place, -1 where others are never in its way.
        """
        count = len(instance.moves)
        least, most, alone, back = (np.zeros(count, np.int64) for _ in range(4))
        shared: list[list[int]] = [[] for _ in range(count)]
        inside: dict[int, list[int]] = {}
        for stay, place in zip(instance.stays, places, strict=True):
            inside.setdefault(place, []).append(stay.departure)
        for stay, place in zip(instance.stays, places, strict=True):
            before, move = instance.moves[stay.arrival], stay.departure
            route = before.routes[0]
            least[move] = route.duration + stay.least
            most[move] = -1 if stay.most is None else route.duration - route.shaved + stay.most
            alone[move] = place >= 0
            back[move] = instance.gaps[move][stay.arrival]
            if alone[move]:
                shared[move] = [other for other in inside[place] if other != move]
        widest = max(1, *map(len, shared))
        jobs: dict[int, list[int]] = {}
        for each in instance.moves:
            jobs.setdefault(each.job, []).append(each.index)
        return cls(
            np.array(instance.gaps, np.int64),
            least,
            most,
            alone,
            back,
            np.array([jobs[move.job][0] for move in instance.moves], np.int64),
            np.array([jobs[move.job][-1] for move in instance.moves], np.int64),
            np.array([row + [-1] * (widest - len(row)) for row in shared], np.int64),
        )

    def longest(self, cycle: int) -> Ints:
        """Return by move the greatest time from the start of the move before, for a cycle time."""
        room = np.where(self.alone, 1, len(self.least)) * cycle - self.back
        return np.where(self.most < 0, room, np.minimum(self.most, room))

    def soonest(self) -> Ints:
        """Return the starts of all moves with every dwell at its minimum, all loads at once."""
        first = np.cumsum(self.least)
        return first - first[self.begins]


def can_anneal_loads(instance: Instance) -> bool:
    """Return whether a cycle is of several loads, whose every move but the first follows a dwell.

    Not where moves cost the hoist no time, and not where numbers are too large.
    """
    first = set(instance.first_moves)
    return (
        instance.jobs > 1
        and not instance.helped
        and all(
            move.index in instance.stay_before or move.index in first for move in instance.moves
        )
        and horizon(instance) <= LONGEST
    )


def squeezed(loads: Loads, starts: Ints, cycle: int, shorter: int) -> Ints:
    """Return the starts of a cycle for another cycle time, counted on over cycles.

    The loads enter as far apart as parts of the cycle, and dwell as long as before, within
    their limits.

    Parameters
    ----------
    starts : array (moves,)
        In ticks, from 0 to the cycle time.
    cycle, shorter : int
        Cycle time of the starts given, and of those returned, in ticks.
    """
    most = loads.longest(shorter)
    found = starts * shorter // cycle
    for move in range(len(starts)):
        if move != loads.begins[move]:
            dwell = (starts[move] - starts[move - 1] - loads.least[move]) % cycle
            found[move] = found[move - 1] + min(loads.least[move] + dwell, most[move])
    return found
