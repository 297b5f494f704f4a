"""A relaxation of an instance, as arrays over its moves, that sequences are built for.

Left out are the choice among several places (the quickest counts), the capacity of stations with
several places, and the number of carriers. Every schedule of the instance is one of the
relaxation too.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from ....instance import Instance, Stay, Turnround

MOST_MOVES = 62
FAR = 1 << 29
"""Ticks; later than any time in a cycle."""

Ints = npt.NDArray[Any]


@dataclass(frozen=True)
class Tank:
    """A place for one carrier.

    Attributes
    ----------
    pairs : tuple of (int, int)
        By stay, the move in and the move out.
    moves : int
        All of them, as bits.
    """

    pairs: tuple[tuple[int, int], ...]
    moves: int


@dataclass(frozen=True)
class Relaxation:
    """Arrays over the moves of an instance. All times are in ticks.

    Attributes
    ----------
    moves, anchor : int
        Number of moves, and the one that starts the cycle.
    gap : array (moves, moves)
        Minimum time from the start of one move to that of a later one.
    tail : array (moves,)
        Minimum time from the start of a move to the next start of the cycle.
    duration, least, most : array (moves,)
        Of the move; of the dwell that the move ends (`most` FAR: no maximum).
    fills, empties : list of int
        The move that brought what this move lifts; the move that lifts what this one
        brings; -1 for none.
    needs : list of int
        Moves, as bits, one of which must come before this one in the cycle; 0 for none.
    into, out_of : dict of int to Tank
        By move, the tank of one place that it brings a carrier to, or takes one from.
    shared : tuple of Turnround
        Stations of one place at the ends, where carriers are set down and taken away.
    spacing : dict of int to list of (int, int)
        By move, others that, if later, start at least so long after its start.
    """

    moves: int
    anchor: int
    gap: Ints
    tail: Ints
    duration: Ints
    least: Ints
    most: Ints
    fills: list[int]
    empties: list[int]
    needs: list[int]
    into: dict[int, Tank]
    out_of: dict[int, Tank]
    shared: tuple[Turnround, ...]
    spacing: dict[int, list[tuple[int, int]]] = field(default_factory=dict)


def relax(instance: Instance) -> Relaxation:
    """Return the relaxation of an instance of at most MOST_MOVES moves."""
    count = len(instance.moves)
    anchor = instance.first_moves[0]
    gap = np.array(instance.gaps, dtype=np.int64)
    duration = np.array([move.shortest for move in instance.moves], dtype=np.int64)
    least, most = np.zeros(count, np.int64), np.full(count, FAR, np.int64)
    fills, empties = [-1] * count, [-1] * count
    by_place: dict[int, list[Stay]] = {}
    for stay in instance.stays:
        if any(instance.places[place].capacity != 1 for place in stay.places):
            continue
        fills[stay.departure], empties[stay.arrival] = stay.arrival, stay.departure
        least[stay.departure] = stay.least
        if stay.most is not None:
            shaved = min(route.shaved for route in instance.moves[stay.arrival].routes)
            most[stay.departure] = stay.most - shaved
        if len(stay.places) == 1:
            by_place.setdefault(stay.places[0], []).append(stay)
    into: dict[int, Tank] = {}
    out_of: dict[int, Tank] = {}
    for stays in by_place.values():
        pairs = tuple((stay.arrival, stay.departure) for stay in stays)
        tank = Tank(pairs, sum(1 << a | 1 << b for a, b in pairs))
        into |= {a: tank for a, _ in pairs}
        out_of |= {b: tank for _, b in pairs}
    tail = gap[:, anchor].copy()
    shared, spacing = _ends(instance, anchor, duration, tail)
    return Relaxation(
        count, anchor, gap, tail, duration, least, most, fills, empties,
        _needs(instance), into, out_of, shared, spacing,
    )  # fmt: skip


def _needs(instance: Instance) -> list[int]:
    """Return by move the moves that must come before it, as bits.

    Loads enter in the order of their numbers where they are alike or the order is given.
    """
    needs = [0] * len(instance.moves)
    groups = (tuple(range(instance.jobs)),) if instance.order_given else instance.alike
    for jobs in groups:
        for number, job in enumerate(jobs[1:], start=1):
            needs[instance.first_moves[job]] = 1 << instance.first_moves[jobs[number - 1]]
    return needs


def _ends(
    instance: Instance, anchor: int, duration: Ints, tail: Ints
) -> tuple[tuple[Turnround, ...], dict[int, list[tuple[int, int]]]]:
    """Return the stations of one place at the ends; tighten `tail` by what they ask there."""
    shared = []
    spacing: dict[int, list[tuple[int, int]]] = {}
    for chain in instance.turnrounds:
        if chain.most != 1:
            continue
        lag = chain.lags[0][0]
        if chain.place is not None:
            if anchor in chain.targets:
                # What is set down stands there before any next load leaves.
                for move in chain.sources:
                    tail[move] = max(tail[move], duration[move] + lag)
                shared.append(chain)
            continue
        for move in chain.sources:
            shift = int(duration[move]) if chain.to_end else 0
            spacing[move] = [
                (other, lag + shift - (int(duration[other]) if chain.to_end else 0))
                for other in chain.sources
                if other != move
            ]
            if anchor in chain.sources:
                tail[move] = max(tail[move], lag)
    return tuple(shared), spacing
