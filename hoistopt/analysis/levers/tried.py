"""What is known of one limit while it is tried, and the lever that comes of it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from ...instance import Instance
from ...instance.limits import Limit
from ...problem import Problem
from ...schedule import Schedule
from .answer import How, Lever, Threshold
from .thresholds import Reached
from .today import Today


@dataclass
class Tried:
    """What is known of one limit so far; times and cycles in ticks.

    `floor` is a bound on the cycle with the figure `new`. Of the threshold: fewer ticks than
    `proved` gain nothing; `reached` gains. Of the whole hoist per cents stand for ticks.
    `searched` says whether a search with the figure `new` has begun before.
    """

    limit: Limit
    new: Decimal
    problem: Problem | None = None
    instance: Instance | None = None
    best: Schedule | None = None
    floor: int = 0
    how: How = "stopped"
    never: bool = False
    beyond: bool = False
    proved: int = 1
    reached: Reached | None = None
    searched: bool = False

    def lever(self, today: Today) -> Lever:
        """What the limit would do, from all that is known by now."""
        best = self.best
        cycle = today.cycle if best is None else min(today.cycle, best.cycle)
        floor = min(cycle, self.floor)
        return Lever(
            self.limit,
            self.new,
            today.in_unit(cycle),
            today.in_unit(floor),
            today.in_unit(today.cycle - cycle),
            today.in_unit(today.cycle - floor),
            self.how if floor == cycle else "stopped",
            self.beyond,
            self._threshold(today),
            None if best is None else self.problem,
            best,
        )

    def _threshold(self, today: Today) -> Threshold:
        if self.never:
            return Threshold(None, None)
        grid = today.instance.ticks_per_unit
        idle = self.limit.stepped(self.proved, grid) if today.proved else self.limit.today
        if self.reached is None:
            return Threshold(idle, None)
        return Threshold(idle, self.limit.stepped(self.reached.ticks, grid))
