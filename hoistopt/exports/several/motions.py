"""What each of several hoists does in a cycle, in the order in which it does it.

A motion is a loaded move, or an empty travel. On a loaded move the hoist lifts, travels and
lowers; only while it travels is it anywhere but at rest over a place. So the way of a motion
is all that others have to keep clear of, from when it leaves to when it arrives.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, replace
from fractions import Fraction

from ...checker import Replay
from ...checker.grid.motion import Parts
from ...checker.hoists.ways import Doing, all_doings
from ...checker.plan import Plan


@dataclass(frozen=True)
class Motion:
    """A motion in its planned cycle; times in grid time of the checker's clock.

    Attributes
    ----------
    hoist : int
        Number of the hoist in track order, from 0.
    step : int or None
        The step that it carries out, from 0; None for an empty travel.
    since : int
        When it starts: with lifting, or with travelling. May lie outside the first cycle.
    leaves, arrives, ends : int
        When travelling begins and is over, and when all of it is over.
    ready : int
        When the next lifting may begin, where a lifting is next: after the swing has died down.
    here, there : Fraction
        Positions between which it leads.
    """

    hoist: int
    step: int | None
    since: int
    leaves: int
    arrives: int
    ends: int
    ready: int
    here: Fraction
    there: Fraction

    @property
    def low(self) -> Fraction:
        """The least position on its way."""
        return min(self.here, self.there)

    @property
    def high(self) -> Fraction:
        """The greatest position on its way."""
        return max(self.here, self.there)

    @property
    def shape(self) -> Hashable:
        """What is the same of two motions that differ by when they are made only."""
        way = self.arrives - self.leaves
        return self.hoist, self.step is None, self.here, self.there, way

    def moved(self, later: int) -> Motion:
        """The motion with all its times so much grid time later."""
        return replace(
            self,
            since=self.since + later,
            leaves=self.leaves + later,
            arrives=self.arrives + later,
            ends=self.ends + later,
            ready=self.ready + later,
        )


def motions_of(seen: Replay) -> list[list[Motion]]:
    """The motions of every hoist in a cycle, in track order and in order of leaving.

    Travels of no length are left out. A hoist that makes no move has none.
    """
    return in_order(seen.plan)


def in_order(plan: Plan) -> list[list[Motion]]:
    """The motions of every hoist in a cycle of a plan, which may break a rule."""
    cycle = plan.table.cycle
    found = []
    for hoist, does in enumerate(all_doings(plan.table, plan.parts)):
        made = [
            motion_of(hoist, doing, plan.parts[doing.number] if doing.step else None)
            for doing in does
            if doing.step or doing.here != doing.there
        ]
        # In the cycle in which it leaves between time 0 and the cycle time.
        turned = [motion.moved(-(motion.leaves // cycle) * cycle) for motion in made]
        found.append(sorted(turned, key=lambda motion: motion.leaves))
    return found


def motion_of(hoist: int, doing: Doing, parts: Parts | None) -> Motion:
    """What a hoist does as a motion; with the parts of the move where it is a step."""
    leaves, arrives = doing.since, doing.until
    if doing.step:
        assert parts is not None and parts.lift is not None
        leaves += parts.lift + parts.drip
        arrives = doing.pieces[-1].since
    return Motion(
        hoist=hoist,
        step=doing.number if doing.step else None,
        since=doing.since,
        leaves=leaves,
        arrives=arrives,
        ends=doing.until,
        ready=doing.ready,
        here=doing.here,
        there=doing.there,
    )
