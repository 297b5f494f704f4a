"""The incumbent of a search with several hoists: its schedule says how they give way.

What hoists ask of one another in time is stated three times
(:attr:`hoistopt.instance.several.Several.asks`). A cycle time at which what is *least* cannot be
kept is refuted. Where *near* or *enough* is asked for, ways are found sooner, and what is refuted
is only that.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace

from ...instance import Instance
from ...instance.several import Asked
from ...schedule import Schedule
from ..cyclic.incumbent import Incumbent
from ..model.several_bounds import horizon
from .travels import travels_of

ASKED: tuple[Asked, ...] = ("least", "near", "enough")
"""What hoists may be asked for, the least first: each implies what comes before it."""
Shorten = Callable[[Schedule, int], Schedule | None]
"""Makes the cycle of a schedule shorter, but not below so many ticks; None where it cannot."""

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
    shorten : callable, optional
        By the exact times of the ways of a schedule.
    refuted : dict
        For each of :data:`ASKED` but the least, ticks below which it cannot be kept.
    """

    instance: Instance | None = None
    without_ways: int | None = None
    shorten: Shorten | None = None
    refuted: dict[Asked, int] = field(default_factory=dict)

    def bound_of(self, instance: Instance) -> int:
        """The bound of the instance, for what it asks of hoists."""
        several = instance.several
        assert several is not None
        if several.exact:
            return self.bound
        below = ASKED[: ASKED.index(several.asks) + 1]
        return max(self.bound, *(self.refuted.get(asked, 0) for asked in below))

    def refute(self, instance: Instance, below: int) -> None:
        """Take a bound of the whole instance, in ticks, for what it asks of hoists."""
        several = instance.several
        assert several is not None
        if several.exact or several.asks == "least":
            self.improve(None, below)
        else:
            self.refuted[several.asks] = max(below, self.refuted.get(several.asks, 0))

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
        schedule = replace(schedule, travels=travels)
        if self.shorten is not None and schedule.cycle > self.bound:
            schedule = self.shorten(schedule, self.bound) or schedule
        kept = super().keep(schedule, values)
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
