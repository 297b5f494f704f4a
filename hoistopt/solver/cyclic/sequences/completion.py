"""A completion bound: how long the moves still to come take at the least."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ....instance import Instance
from ...bounds import NEVER, succession_costs
from .relaxation import Ints, Relaxation


@dataclass(frozen=True)
class _Cut:
    """The track between two neighbouring stations, and the moves on its sides, as bits."""

    low: int
    length: int
    rightward: int
    leftward: int
    right_of: int
    left_of: int


class CompletionBound:
    """A lower bound on the time from the start of a move to the next start of the cycle.

    The hoist still has to make the remaining moves and get back to the start of the first.
    Cut the track between any two neighbouring stations: the loads carried over the cut, and
    where the hoist is and has to end, say how often it crosses empty at the least. Distances
    are measured along a line that never overstates empty travel; what travel or waiting takes
    on top is added move by move.

    Where one load's two moves meet at a tank and the hoist crosses both cuts beside it as
    seldom as possible, the load has to go straight on, and the hoist waits for its minimum
    dwell. Either that is added, or two more crossings of one of the cuts.

    Attributes
    ----------
    work : array (moves,)
        Ticks that each move adds by itself: its duration, and the least that follows it on
        top of travel along the line.
    """

    def __init__(self, instance: Instance, relaxation: Relaxation) -> None:
        costs = np.array(succession_costs(instance), dtype=np.int64)
        source, target = _along(instance)
        rest = costs - relaxation.duration[:, None] - np.abs(target[:, None] - source[None, :])
        rest[costs >= NEVER] = NEVER
        self.work = relaxation.duration + rest.min(axis=1)
        self._target = target
        self._home = int(source[relaxation.anchor])
        self._cuts = _cuts(relaxation, source, target)
        self._straight_on = _straight_on(relaxation, self._cuts, source, target, rest)

    def after(self, rest: Ints, last: int, work: Ints) -> Ints:
        """Return the bound in ticks for some sets of remaining moves, as move `last` starts.

        Parameters
        ----------
        rest : array (sets,)
            The remaining moves, as bits.
        work : array (sets,)
            Sum of :attr:`work` over each set and `last`.
        """
        total = work.copy()
        here = int(self._target[last])
        spare = np.zeros(len(rest), np.int64)
        paid = np.full(len(rest), NEVER, np.int64)
        once_before: Ints | None = None
        for number, cut in enumerate(self._cuts):
            right = np.bitwise_count(rest & cut.rightward).astype(np.int64)
            if cut.leftward:
                right -= np.bitwise_count(rest & cut.leftward)
            turn = int(self._home > cut.low) - int(here > cut.low)
            crossings = np.abs(turn - right)
            far = cut.left_of if here > cut.low else cut.right_of
            if turn == 0 and far:
                carried = rest & (cut.rightward | cut.leftward)
                crossings += 2 * ((carried == 0) & ((rest & far) != 0))
            total += cut.length * crossings
            # For each tank where a load would go straight on, the cheaper of waiting and crossing.
            wait: Ints | int = 0
            once: Ints | None = None
            if self._straight_on and turn == 0 and here <= cut.low and not cut.leftward:
                once = right == 1
                pair = self._straight_on.get(number)
                if pair is not None and once_before is not None:
                    bits, lag = pair
                    wait = lag * (once & once_before & ((rest & bits) == bits))
            cheapest = np.minimum(spare, paid)
            spare, paid = np.minimum(paid, spare + wait), cheapest + 2 * cut.length
            once_before = once
        return total + np.minimum(spare, paid)


def _cuts(relaxation: Relaxation, source: Ints, target: Ints) -> list[_Cut]:
    points = sorted({*source.tolist(), *target.tolist()})
    found = []
    for low, high in pairwise(points):
        sides: dict[tuple[bool, bool], int] = {}
        for move in range(relaxation.moves):
            if move == relaxation.anchor:
                continue
            key = (bool(source[move] > low), bool(target[move] > low))
            sides[key] = sides.get(key, 0) | 1 << move
        found.append(
            _Cut(
                low,
                high - low,
                sides.get((False, True), 0),
                sides.get((True, False), 0),
                sides.get((True, True), 0),
                sides.get((False, False), 0),
            )
        )
    return found


def _straight_on(
    relaxation: Relaxation, cuts: list[_Cut], source: Ints, target: Ints, rest: Ints
) -> dict[int, tuple[int, int]]:
    """Return by the cut right of a tank the two moves that meet there, as bits, and the wait.

    Only for moves to the right, and where nothing else stops at that place.
    """
    by_low = {cut.low: number for number, cut in enumerate(cuts)}
    found = {}
    for first, second in enumerate(relaxation.empties):
        here = int(target[first])
        if second < 0 or relaxation.anchor in (first, second) or here not in by_low:
            continue
        stops = int((source == here).sum() + (target == here).sum())
        if stops == 2 and source[first] < here < target[second]:
            wait = int(rest[first, second] - rest[first].min())
            found[by_low[here]] = (1 << first | 1 << second, wait)
    return found


def _along(instance: Instance) -> tuple[Ints, Ints]:
    """Return source and target of every move on a line that never overstates empty travel.

    Where the triangle inequality holds, the distance from one end of the track is such a line.
    Where it does not, or where a move has several routes, all places are one, and only what is
    added move by move is left.
    """
    empty = instance.empty
    moves = instance.moves
    nowhere = np.zeros(len(moves), np.int64)
    if any(len(move.routes) > 1 for move in moves):
        return nowhere, nowhere
    used = sorted({p for move in moves for p in (*move.sources, *move.targets)})
    origin = max(used, key=lambda u: max(empty[u][v] + empty[v][u] for v in used))
    line = {p: min(empty[origin][p], empty[p][origin]) for p in used}
    if any(abs(line[u] - line[v]) > empty[u][v] for u in used for v in used):
        return nowhere, nowhere
    source = np.array([line[move.sources[0]] for move in moves], dtype=np.int64)
    target = np.array([line[move.targets[0]] for move in moves], dtype=np.int64)
    if (target - source).sum() < 0:  # most work rightwards, which `_straight_on` relies on
        source, target = source.max() - source, source.max() - target
    return source, target
