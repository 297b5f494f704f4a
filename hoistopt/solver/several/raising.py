"""Raise the bound: refute cycle times on the whole model, from the shortest up."""

from __future__ import annotations

from dataclasses import dataclass

from ...base.clock import Clock
from ...instance import Instance
from ...schedule import Schedule
from ..model.several_bounds import asking
from .incumbent import ASKED, GivingWay
from .looks import look
from .mending import mend

FIRST_WORK, HARDER = 0.25, 1.5
"""CP-SAT's work on one span at first, in its own measure, a quarter of which is about a second;
and how much more goes into the next after one that was not searched to its end."""
FIRST_SPAN, WIDER, NARROWER = 0.1, 1.5, 0.5
"""Cycle times looked at together, as a share of the bound; and how that changes once a span was
refuted, or was not."""


@dataclass
class _Ladder:
    """Spans of cycle times of an instance, for what its hoists ask of one another.

    `passed`: cycle times below were passed over, since hoists found no ways; what is refuted
    after that is no bound. `ended`: nothing is left that is shorter than the incumbent.
    """

    instance: Instance
    work: float = FIRST_WORK
    span: float = FIRST_SPAN
    passed: int = 0
    ended: bool = False


class Raising:
    """Refutes one span of cycle times after another, each beginning at the bound.

    Within a narrow span every dwell ties two moves closely, so CP-SAT sees far more than for
    all cycle times at once. Bounds are those of what hoists ask of one another at the least;
    the shortest cycle of that may leave them no ways. In turns with it what is asked for more
    is looked at, for schedules with ways.

    Attributes
    ----------
    impossible : bool
        Whether no cycle time is possible at all.
    """

    def __init__(self, instance: Instance, incumbent: GivingWay) -> None:
        assert instance.several is not None
        self.incumbent = incumbent
        asked = ASKED[:1] if instance.several.exact else ASKED
        self._ladders = [_Ladder(asking(instance, each)) for each in asked]
        self._turns = 0
        self.impossible = False

    @property
    def over(self) -> bool:
        """Whether there is nothing to refute, although the best may not be proved."""
        return self.impossible or not self._left

    @property
    def _left(self) -> list[_Ladder]:
        return [ladder for ladder in self._ladders if not ladder.ended]

    @property
    def instance(self) -> Instance:
        """What is left to be refuted, for what is asked for least; the last where nothing is."""
        return [*self._left, self._ladders[-1]][0].instance

    @property
    def refutes(self) -> bool:
        """Whether bounds of a look at :attr:`instance` hold."""
        return not self._ladders[-1].passed

    def turn(self, clock: Clock) -> None:
        """Look at a next span.

        Raises
        ------
        OutOfTime
            When the clock is over before the model is built.
        """
        left = self._left
        ladder = left[self._turns % len(left)]
        self._turns += 1
        incumbent, instance = self.incumbent, ladder.instance
        low, top = max(incumbent.bound_of(instance), ladder.passed), incumbent.longest
        high = min(top, low + round(low * ladder.span))
        heard: list[Schedule] = []
        status = look(
            instance,
            incumbent,
            clock,
            ladder.work,
            whole=not ladder.passed,
            shortest=low,
            longest=high,
            heard=heard,
        )
        if status == "infeasible":
            self._refuted(ladder, high, top)
        elif status == "optimal" and not incumbent.closed:
            self._without_ways(ladder, heard, clock)
        elif status == "unknown":
            ladder.span *= NARROWER
            ladder.work *= HARDER

    def _refuted(self, ladder: _Ladder, high: int, top: int) -> None:
        """Take it that nothing of a ladder is between its bound and `high`."""
        ladder.span *= WIDER
        if high < top:
            ladder.passed = high + 1 if ladder.passed else 0
            return
        first = ladder is self._ladders[0]
        self.impossible = self.incumbent.schedule is None and first and not ladder.passed
        # What asks for more has nothing shorter either.
        for other in self._ladders[self._ladders.index(ladder) :]:
            other.ended = True

    def _without_ways(self, ladder: _Ladder, heard: list[Schedule], clock: Clock) -> None:
        """Go on where the shortest cycle of a ladder left no ways."""
        shortest = min(heard, key=lambda schedule: schedule.cycle)
        best = self.incumbent.best
        if best is not None and best <= shortest.cycle:
            return
        if ladder is self._ladders[-1]:
            # No more can be asked for: what is longer is looked at, and refutes nothing.
            ladder.passed = shortest.cycle + 1
            return
        if ladder is self._ladders[0]:
            mend(ladder.instance, self.incumbent, clock, shortest)
        ladder.ended = True
