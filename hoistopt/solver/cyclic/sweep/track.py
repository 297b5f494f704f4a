"""How long the moves still to come will take at the least."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ....instance import Instance
from ...bounds import NEVER, succession_costs
from .outline import Ints, Outline


@dataclass(frozen=True)
class _Cut:
    """The track between two neighbouring stations; moves as bits by how they lie to it."""

    low: int
    length: int
    rightward: int
    leftward: int
    right_of: int
    left_of: int


class Outlook:
    """A lower bound on the time from the start of a move to the restart of the cycle.

    The hoist still has to make the remaining moves and get back to the start of the
    first. Cut the track between any two neighbouring stations: what is carried across
    the cut, and where the hoist is and has to end, tell how often it crosses empty at
    the least. Distances are measured along a line that never overstates empty travel,
    and what travel or waiting costs on top at the least is added move by move.

    Where one load's two moves meet at a tank and both cuts beside it are crossed as
    seldom as can be, the load has to go straight on, so its least dwell is waited out:
    either that, or one of the cuts is crossed twice more.

    Attributes
    ----------
    work : array (moves,)
        What each move adds by itself: its time and the least that follows it on top of
        travel along the line.
    """

    def __init__(self, instance: Instance, outline: Outline) -> None:
        costs = np.array(succession_costs(instance), dtype=np.int64)
        source, target = _along(instance)
        rest = costs - outline.duration[:, None] - np.abs(target[:, None] - source[None, :])
        rest[costs >= NEVER] = NEVER
        self.work = outline.duration + rest.min(axis=1)
        self._target = target
        self._home = int(source[outline.anchor])
        self._cuts = _cuts(outline, source, target)
        self._links = _links(outline, self._cuts, source, target, rest)
        self._anchor_bit = 1 << outline.anchor

    def after(self, rest: Ints, last: int, work: Ints) -> Ints:
        """Bound for each set `rest` of remaining moves (bits), just as `last` starts.

        `work` is the sum of :attr:`work` over each set and `last`.
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
            # Paying for tanks where a load would have to go straight on.
            wait: Ints | int = 0
            once: Ints | None = None
            if self._links and turn == 0 and here <= cut.low and not cut.leftward:
                once = right == 1
                link = self._links.get(number)
                if link is not None and once_before is not None:
                    bits, lag = link
                    wait = lag * (once & once_before & ((rest & bits) == bits))
            cheapest = np.minimum(spare, paid)
            spare, paid = np.minimum(paid, spare + wait), cheapest + 2 * cut.length
            once_before = once
        return total + np.minimum(spare, paid)


def _cuts(outline: Outline, source: Ints, target: Ints) -> list[_Cut]:
    points = sorted({*source.tolist(), *target.tolist()})
    found = []
    for low, high in pairwise(points):
        sides: dict[tuple[bool, bool], int] = {}
        for move in range(outline.moves):
            if move == outline.anchor:
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


def _links(
    outline: Outline, cuts: list[_Cut], source: Ints, target: Ints, rest: Ints
) -> dict[int, tuple[int, int]]:
    """By the cut right of a tank: the two moves that meet there, and what going on costs.

    Only where nothing else stops at that place, and rightwards.
    """
    by_low = {cut.low: number for number, cut in enumerate(cuts)}
    found = {}
    for first, second in enumerate(outline.empties):
        here = int(target[first])
        if second < 0 or outline.anchor in (first, second) or here not in by_low:
            continue
        stops = int((source == here).sum() + (target == here).sum())
        if stops == 2 and source[first] < here < target[second]:
            wait = int(rest[first, second] - rest[first].min())
            found[by_low[here]] = (1 << first | 1 << second, wait)
    return found


def _along(instance: Instance) -> tuple[Ints, Ints]:
    """Source and target of every move on a line that never overstates empty travel.

    The distance from one end of the track is such a line wherever the triangle
    inequality holds. Where it does not, or where routes vary, all places fall together
    and only the cost move by move is left.
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
    if (target - source).sum() < 0:  # most work rightwards, which the links rely on
        source, target = source.max() - source, source.max() - target
    return source, target
