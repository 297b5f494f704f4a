"""Kinds of moves: what all loads of one recipe have in common, as arrays."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from ...instance import Instance, Stay

Ints = npt.NDArray[Any]

NEVER = 1 << 40
"""Ticks that are longer than any dwell."""


@dataclass(frozen=True)
class Kinds:
    """Moves by recipe and stage. All arrays are of 64-bit integers, times in ticks.

    Only a dwell at a single tank of one place can be told from the order of moves: what is
    lifted there next is what was set down there last. Others are left out.

    Attributes
    ----------
    visits : array (kinds,)
        How often a move of each kind is made for one set of loads.
    step : array (kinds, kinds)
        Least time from the start of a move to the start of the next.
    gap : array (kinds, kinds)
        Least time from the start of a move to that of any later one.
    ends, begins : array (kinds,)
        The kind of the move that begins the dwell which this kind ends, and of the one that
        ends the dwell which this kind begins; -1 for none that can be told.
    least, most : array (kinds,)
        Limits on the time from the start of a move to the start of the one that ends the
        dwell after it.
    fills, clears : array (kinds,)
        The tank that is full after this kind of move, and the one that is empty after it;
        -1 for none that can be told.
    """

    visits: Ints
    step: Ints
    gap: Ints
    ends: Ints
    begins: Ints
    least: Ints
    most: Ints
    fills: Ints
    clears: Ints

    def __len__(self) -> int:
        return len(self.visits)


def kinds_of(instance: Instance) -> Kinds:
    """The kinds of moves of an instance; the same for every degree."""
    names = [(instance.recipes[move.job], move.stage) for move in instance.moves]
    kinds = {name: number for number, name in enumerate(dict.fromkeys(names))}
    kind = [kinds[name] for name in names]
    model = {number: move for move, number in reversed(list(enumerate(kind)))}
    moves = [model[number] for number in range(len(kinds))]
    counted = Counter(kind)
    gap = np.array([[instance.gaps[a][b] for b in moves] for a in moves], np.int64)
    step = gap.copy()
    ends, begins, fills, clears = (np.full(len(kinds), -1) for _ in range(4))
    least, most = np.zeros(len(kinds), np.int64), np.full(len(kinds), NEVER)
    for number, move in enumerate(moves):
        stay = instance.stay_after.get(move)
        if stay is None or not _told(instance, stay):
            continue
        after = kind[stay.departure]
        ends[after], begins[number] = number, after
        fills[number] = clears[after] = stay.places[0]
        routes = instance.moves[move].routes
        least[number] = min(route.duration for route in routes) + stay.least
        if stay.most is not None:
            most[number] = max(route.duration - route.shaved for route in routes) + stay.most
        step[number, after] = max(step[number, after], least[number])
    visits = np.array([counted[number] // instance.degree for number in range(len(kinds))])
    return Kinds(visits, step, gap, ends, begins, least, most, fills, clears)


def _told(instance: Instance, stay: Stay) -> bool:
    return len(stay.places) == 1 and instance.places[stay.places[0]].capacity == 1
