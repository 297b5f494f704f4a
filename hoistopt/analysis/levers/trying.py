"""Every limit given way in turn, from today's schedule: gains and thresholds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from ...base.clock import Clock, OutOfTime
from ...base.errors import HoistoptError
from ...checker import accepted
from ...conflict.soft import held_to
from ...instance import Instance, build_instance
from ...instance.limits import Limit
from ...problem import Problem
from ...schedule import Schedule
from ...solver import least_cycle
from ...solver.bounds import lower_bound
from .answer import How, Lever, Threshold
from .thresholds import Reached, helpers, in_order, least_ticks
from .today import Today


@dataclass
class _Tried:
    """What is known of one limit so far; times and cycles in ticks.

    `floor` is a bound on the cycle with the figure `new`. `ticks` of the threshold: fewer
    than `proved` gain nothing; `reached` gains.
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


class Trying:
    """Settles what limits gain, as far as the clock allows.

    Parameters
    ----------
    today : Today
        The line as it is.
    clock : Clock
    """

    def __init__(self, today: Today, clock: Clock) -> None:
        self._today, self._clock = today, clock
        self._tried: list[_Tried] = []
        self._done = 0

    def run(self, changes: Mapping[Limit, Decimal]) -> None:
        """Try each limit with its new figure, and look for its threshold."""
        self._tried = [_Tried(limit, new) for limit, new in changes.items()]
        for tried in self._tried:
            self._tell("today's order with", tried)
            self._begin(tried)
        if self._today.proved:
            self._sieve()
        for tried in sorted(self._tried, key=self._promise):
            self._settle(tried)
            self._done += 1

    def levers(self) -> list[Lever]:
        """What came of it, a lever for each limit."""
        return [self._lever(tried) for tried in self._tried]

    # -- one after another ----------------------------------------------------------

    def _begin(self, tried: _Tried) -> None:
        """Today's order with the new figure, and the bound that needs no search."""
        if self._clock.over:
            return
        try:
            self._change(tried, tried.new)
        except OutOfTime:
            return
        instance, problem = tried.instance, tried.problem
        if instance is None or problem is None:
            return
        tried.best = self._today.retimed(problem, instance)
        if tried.best is not None:
            self._reaches(tried, self._clock.share(0.02))

    def _reaches(self, tried: _Tried, clock: Clock) -> None:
        """Take the figure that is tried as one that gains, and the order found with less."""
        steps = tried.limit.steps(
            abs(tried.new - tried.limit.today), self._today.instance.ticks_per_unit
        )
        known = tried.reached
        if tried.best is None or tried.limit.kind == "hoist" or not steps:
            return
        if known is None or steps < known.ticks:
            found = Reached(tried.limit, steps, tried.best)
            tried.reached = in_order(self._today, found, clock)

    def _change(self, tried: _Tried, new: Decimal) -> None:
        """Take a new figure, with nothing known of it but its bound."""
        tried.new, tried.best, tried.how, tried.floor = new, None, "stopped", 0
        try:
            tried.problem = tried.limit.changed(self._today.problem, new)
            tried.instance = build_instance(tried.problem, self._today.instance.degree, self._clock)
        except OutOfTime:
            raise
        except HoistoptError:  # no whole tick fits a window any more: nothing to be had
            tried.problem = tried.instance = None
            tried.floor, tried.how = self._today.cycle, "bound"
            return
        tried.floor = max(lower_bound(tried.instance), tried.instance.shortest)
        if tried.floor >= self._today.cycle:
            tried.how = "bound"

    def _sieve(self) -> None:
        """Find the limits that help by themselves, and prove that the others do not."""
        open_ones = {
            tried.limit: tried
            for tried in self._tried
            if tried.reached is None and tried.limit.kind != "hoist"
        }
        if not open_ones or self._clock.over:
            return
        self._clock.tell(
            f"{len(open_ones)} limits together", total=len(self._tried), cycle_time=self._shown()
        )
        for reached in helpers(self._today, list(open_ones), self._clock.share(0.5)):
            if reached is None:
                return
            open_ones.pop(reached.limit).reached = in_order(self._today, reached, self._clock)
        for tried in open_ones.values():
            tried.never, tried.floor, tried.how = True, self._today.cycle, "group"

    def _promise(self, tried: _Tried) -> tuple[int, int]:
        """The most promising first."""
        if tried.best is not None:
            return 0, tried.best.cycle
        return (1 if tried.reached is not None else 2), tried.floor

    def _settle(self, tried: _Tried) -> None:
        if tried.never or self._clock.over:
            return
        self._tell("threshold of", tried)
        seconds = self._seconds()
        today = self._today
        if tried.reached is not None and today.proved:
            tried.proved, tried.reached = least_ticks(
                today, tried.reached, self._clock.part(seconds and seconds / 3)
            )
        self._tell("gain of", tried)
        self._search(tried, self._seconds())
        self._reaches(tried, self._clock)
        reached = tried.reached
        idle = tried.floor >= today.cycle and tried.best is None
        if idle and reached is not None:
            # The amount asked for gains nothing: shown is where a gain begins.
            figure = tried.limit.stepped(reached.ticks, today.instance.ticks_per_unit)
            try:
                self._change(tried, figure)
            except OutOfTime:
                tried.floor = 0
            tried.best, tried.beyond = reached.schedule, True
            self._search(tried, self._seconds())

    def _search(self, tried: _Tried, seconds: float | None) -> None:
        """The shortest cycle with the new figure, from the best schedule known."""
        if tried.instance is None or self._clock.over or tried.floor >= self._today.cycle:
            return
        instance, known = tried.instance, tried.best
        if known is not None and known.cycle <= tried.floor:
            tried.floor, tried.how = known.cycle, "bound"
            return
        if known is None and tried.limit.only_helps:
            known = self._today.schedule
        if known is None:
            instance = held_to(instance, self._today.cycle - 1)
        found = least_cycle(instance, self._clock.part(seconds), known=known)
        if found.status == "infeasible":
            tried.floor, tried.how = self._today.cycle, "search"
            return
        tried.floor = max(tried.floor, found.bound)
        if found.status == "optimal":
            tried.how = "search"
        if found.schedule is None or found.schedule.cycle >= self._today.cycle:
            return
        assert tried.problem is not None
        accepted(tried.problem, found.schedule, made_here=True)
        tried.best = found.schedule

    # -- what is shown ----------------------------------------------------------------

    def _lever(self, tried: _Tried) -> Lever:
        today = self._today.cycle
        best = tried.best
        cycle = today if best is None else min(today, best.cycle)
        floor = min(cycle, tried.floor)
        return Lever(
            tried.limit,
            tried.new,
            self._in_unit(cycle),
            self._in_unit(floor),
            self._in_unit(today - cycle),
            self._in_unit(today - floor),
            tried.how if floor == cycle else "stopped",
            tried.beyond,
            self._threshold(tried),
            None if best is None else tried.problem,
            best,
        )

    def _threshold(self, tried: _Tried) -> Threshold | None:
        if tried.never:
            return Threshold(None, None)
        if tried.limit.kind == "hoist":
            return None
        grid = self._today.instance.ticks_per_unit
        idle = tried.limit.stepped(tried.proved, grid) if self._today.proved else tried.limit.today
        if tried.reached is None:
            return Threshold(idle, None)
        return Threshold(idle, tried.limit.stepped(tried.reached.ticks, grid))

    def _in_unit(self, ticks: int) -> Fraction:
        return Fraction(ticks) / self._today.instance.ticks_per_unit

    def _shown(self) -> float:
        return float(self._in_unit(self._today.cycle))

    def _seconds(self) -> float | None:
        """A fair share of the time that is left for one search."""
        left = self._clock.left
        if left is None:
            return None
        pending = sum(not tried.never for tried in self._tried[self._done :]) or 1
        return max(0.2, left / pending)

    def _tell(self, words: str, tried: _Tried) -> None:
        self._clock.tell(
            f"{words} {tried.limit.name}",
            done=self._done,
            total=len(self._tried),
            cycle_time=self._shown(),
        )
