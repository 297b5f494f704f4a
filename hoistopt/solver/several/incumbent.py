"""The incumbent of a search with several hoists: its schedule says how they give way."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from ...instance import Instance
from ...schedule import Schedule
from ..cyclic.incumbent import Incumbent
from .bounds import horizon
from .travels import travels_of

MOST_TRIED = 12
"""Schedules of one look at a model for which ways are searched, the shortest first."""


@dataclass
class GivingWay(Incumbent):
    """An incumbent that keeps a schedule only with the travels by which its hoists give way.

    Attributes
    ----------
    instance : Instance or None
        That of the schedules; it has several hoists.
    without_ways : int or None
        The shortest cycle, in ticks, of a schedule in which no ways were found.
    """

    instance: Instance | None = None
    without_ways: int | None = None

    def improve(self, best: int | None, bound: int | None) -> None:
        """Take a bound, in ticks. A cycle time counts once ways were found, in :meth:`keep`."""
        del best
        super().improve(None, bound)

    def keep(self, schedule: Schedule, values: list[int]) -> bool:
        """Keep a schedule if it is better than the one kept and its hoists find ways."""
        if self.schedule is not None and schedule.cycle >= self.schedule.cycle:
            return False
        assert self.instance is not None
        travels = travels_of(self.instance, schedule)
        if travels is None:
            if self.without_ways is None or schedule.cycle < self.without_ways:
                self.without_ways = schedule.cycle
            return False
        kept = super().keep(replace(schedule, travels=travels), values)
        if kept:
            super().improve(schedule.cycle, None)
        return kept

    def keep_best(self, found: Iterable[Schedule]) -> bool:
        """Keep the shortest of some schedules in which ways are found; return whether any is."""
        shortest = sorted({schedule.cycle: schedule for schedule in found}.items())
        return any(self.keep(schedule, []) for _, schedule in shortest[:MOST_TRIED])

    @property
    def longest(self) -> int:
        """The longest cycle time that is allowed and better than the best known, in ticks."""
        assert self.instance is not None
        tops = [horizon(self.instance)]
        if self.best is not None:
            tops.append(self.best - 1)
        if self.instance.longest is not None:
            tops.append(self.instance.longest)
        return min(tops)
