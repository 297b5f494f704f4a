"""Which degree to search on at next: what each is thought to come to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

from .lane import Lane

HOPE, DOUBT, LESS = 0.98, 1.15, 1.03
"""What a degree is thought to reach, as a multiple of its own mean time, or of the best one
where it has no schedule of its own; and by how much more with each further turn in vain, where
it has none, and where it has one."""

STEP = 1.2
"""Bounds no more than so many times another one count as equal: more moves a cycle cost a
search more than so little is worth."""

POOR, POOR_TURNS = 2, 3
"""Several hoists: a mean time so many times its bound is hardly more than one load at a time, from
which no degree learns; and how many turns the lowest degree has to come to something better."""


@dataclass(frozen=True)
class Ranking:
    """The degrees of a line, by how much longer searches of them promise.

    Attributes
    ----------
    lanes : sequence of Lane
        The lowest degree first.
    best : Lane or None
        That of the least mean time of a set of loads; None where there is no schedule yet.
    looks : int
        Searches of a degree that are too brief to tell what it is worth.
    """

    lanes: Sequence[Lane]
    best: Lane | None
    looks: int

    def first(self, most: int) -> list[Lane]:
        """Degrees that may still do better, the most promising first, then that of least bound.

        Among equals those that use more of the tanks.

        Parameters
        ----------
        most : int
            How many of them.
        """
        mean = None if self.best is None else self.best.mean
        open_ones = [lane for lane in self.lanes if lane.may_beat(mean)]
        least = min((lane.alone for lane in open_ones), default=0)

        def steps(lane: Lane) -> int:
            return int(log(lane.alone / least, STEP)) if least else 0

        order = sorted(
            open_ones,
            key=lambda lane: (
                not self._poor(lane), self._hoped(lane), steps(lane), lane.idle,
                not self._unsettled(lane), lane.degree,
            ),
        )  # fmt: skip
        return order[:most]

    def _poor(self, lane: Lane) -> bool:
        """Whether a degree has to be searched on before the others learn anything from it."""
        return (
            lane is self.lanes[0]
            and lane.instance.several is not None
            and lane.turns < POOR_TURNS
            and (lane.mean is None or lane.mean > POOR * lane.least)
        )

    def _hoped(self, lane: Lane) -> float:
        """The mean time of a set of loads that a degree is thought to come to, in ticks."""
        best = None if self.best is None else self.best.mean
        if best is None:
            return float(lane.least) * DOUBT**lane.turns
        if lane.mean is not None and not self._unsettled(lane):
            return max(float(lane.least), float(lane.mean) * HOPE) * LESS**lane.vain
        doubt = DOUBT ** max(0, lane.turns - self.looks)
        if self._beyond_groups(lane):
            doubt *= LESS
        return max(float(lane.least), float(best) * HOPE) * doubt

    def _beyond_groups(self, lane: Lane) -> bool:
        """Whether a lower degree lets as many tanks of groups take turns, with fewer moves.

        Of one hoist only where that are more than at the lowest degree; of several every move
        more makes the models slower by far.
        """
        return any(
            other.degree < lane.degree
            and other.idle == lane.idle
            and (lane.idle < self.lanes[0].idle or lane.instance.several is not None)
            and other.alone <= lane.alone
            for other in self.lanes
        )

    def _unsettled(self, lane: Lane) -> bool:
        """Whether what a degree has tells little of what it can reach.

        It has no schedule of its own, or one that is no better than that of a degree which leaves
        more tanks idle.
        """
        best = self.best
        return not lane.own or (
            best is not None and lane.mean != best.mean and lane.idle < best.idle
        )
