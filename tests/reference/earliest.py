"""How early the moves of a cycle can start when the first of them are given."""

from __future__ import annotations

import numpy as np
from numba import njit

from .moves import Line

_NEVER = -(2**60)
"""In place of a demand that two moves do not make on one another."""

_ANY = 2**60
"""In place of a maximum that a dwell does not have."""


class Earliest:
    """Earliest starts of all moves, given which come first and in which order.

    Whatever order the others take, they follow the first. Which side of the end of the
    cycle a stay lies on is known once one of its moves is among the first, if the tank
    holds one carrier. A demand that weakens with a longer cycle is taken at the longest
    cycle still wanted, and one that grows with it at the shortest there can be.

    Parameters
    ----------
    line : Line
        What repeats in a cycle.
    single : set of str
        Names of the tanks that hold one carrier.
    low : int
        No cycle shorter than this is wanted, in ticks.
    """

    def __init__(self, line: Line, single: set[str], low: int) -> None:
        self._gap = np.array(line.gap, dtype=np.int64)
        self._shortest = max(low, int(self._gap.diagonal().max()))
        stays = []
        for stay in line.stays:
            if stay.station in single:
                ticks = line.moves[stay.arrive].ticks
                most = _ANY if stay.most is None else ticks + stay.most
                stays.append((stay.arrive, stay.leave, ticks + stay.least, most))
        self._stays = np.array(stays, dtype=np.int64).reshape(-1, 4)

    def starts(self, place: np.ndarray, first: int, best: int | None) -> list[int] | None:
        """Earliest starts in ticks; None if no cycle shorter than `best` begins so.

        Parameters
        ----------
        place : array of int, one a move
            The move's place in the order; `first` or more for those that follow.
        first : int
            How many moves are given.
        best : int or None
            The best cycle time so far in ticks; None: any is wanted.
        """
        longest = -1
        if best is not None:
            longest = best - 1
            if longest < self._shortest:
                return None
        starts = np.zeros(len(place), dtype=np.int64)
        if not _settled(self._gap, self._stays, place, first, self._shortest, longest, starts):
            return None
        return list(starts.tolist())


@njit(cache=True)
def _settled(
    gap: np.ndarray,
    stays: np.ndarray,
    place: np.ndarray,
    first: int,
    shortest: int,
    longest: int,
    starts: np.ndarray,
) -> bool:
    """Raise `starts` to the earliest there can be; whether there are any."""
    count = len(place)
    apart = np.full((count, count), _NEVER)
    for a in range(count):
        if place[a] >= first:
            continue
        for b in range(count):
            if place[b] > place[a]:
                apart[a, b] = gap[a, b]
                if longest >= 0:
                    apart[b, a] = gap[b, a] - longest
    for number in range(len(stays)):
        arrive, leave, least, most = stays[number]
        if min(place[arrive], place[leave]) >= first:
            continue
        if place[arrive] < place[leave]:
            apart[arrive, leave] = max(apart[arrive, leave], least)
            if most < _ANY:
                apart[leave, arrive] = max(apart[leave, arrive], -most)
        else:  # the cycle restarts while the carrier stands
            if longest >= 0:
                apart[arrive, leave] = max(apart[arrive, leave], least - longest)
            if most < _ANY:
                apart[leave, arrive] = max(apart[leave, arrive], shortest - most)
    for _ in range(count + 1):
        changed = False
        for a in range(count):
            for b in range(count):
                if starts[a] + apart[a, b] > starts[b]:
                    starts[b] = starts[a] + apart[a, b]
                    changed = True
        if not changed:
            return True
    return False
