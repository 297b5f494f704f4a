"""Every limit given way in turn, from today's schedule: gains and thresholds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from decimal import Decimal

from ...base.clock import Clock, OutOfTime
from ...base.effort import Stop
from ...base.errors import HoistoptError
from ...checker import accepted
from ...conflict.soft import held_to
from ...instance import build_instance
from ...instance.limits import Limit
from ...planning.found import shortener
from ...solver import least_cycle, lowest_cycle
from .answer import Lever
from .quicker import fewest_per_cent
from .thresholds import Reached, helpers, in_order, least_ticks
from .today import Today
from .together import bound_of_all, comparable
from .tried import Tried

TOGETHER = 0.15
"""Part of the time for what can be said of many changes at once."""

MOST = 500_000
"""Routes of all the lines looked at together; putting more of them into one takes too long."""

QUICK = 0.5
"""Seconds. A round that ends sooner and settles nothing had the time it needed; another one
would bring no more."""


class Trying:
    """Settles what limits gain, as far as the clock allows.

    Every limit has its share of the time, the most promising first and as many at once as
    there are threads; what is left goes to those that are not settled, round after round.

    Parameters
    ----------
    today : Today
        The line as it is.
    clock : Clock
    """

    def __init__(self, today: Today, clock: Clock) -> None:
        self._today, self._clock = today, clock
        self._tried: list[Tried] = []
        self._done = 0

    def run(self, changes: Mapping[Limit, Decimal]) -> None:
        """Try each limit with its new figure, and look for its threshold."""
        self._tried = [Tried(limit, new) for limit, new in changes.items()]
        for tried in self._tried:
            self._tell("today's order with", tried)
            self._begin(tried)
        self._bound_together()
        while not self._clock.over:
            unsettled = [tried for tried in self._tried if not self._settled(tried)]
            before = [self._known(tried) for tried in unsettled]
            turn = self._clock.part()
            self._round(unsettled)
            unchanged = before == [self._known(tried) for tried in unsettled]
            if unchanged and (turn.left is None or turn.elapsed < QUICK):
                break

    def _round(self, unsettled: Sequence[Tried]) -> None:
        """Give each limit that is not settled its share of the time that is left."""
        if self._today.proved:
            self._sieve()
        pending = sorted((x for x in unsettled if not self._settled(x)), key=self._promise)
        self._done = len(self._tried) - len(pending)
        threads = max(1, min(self._clock.workers, len(pending)))
        stop = Stop()

        def settle(number: int) -> None:
            left, behind = self._clock.left, len(pending) - number
            seconds = None if left is None else max(0.2, left * threads / behind)
            single = 1 if threads > 1 else None
            self._settle(pending[number], self._clock.part(seconds, workers=single, stop=stop))
            self._done += 1

        if threads == 1:
            for number in range(len(pending)):
                settle(number)
            return
        with ThreadPoolExecutor(threads) as pool:
            try:
                for done in [pool.submit(settle, number) for number in range(len(pending))]:
                    done.result()
            finally:
                stop.set()

    def levers(self) -> list[Lever]:
        """What came of it, a lever for each limit."""
        return [tried.lever(self._today) for tried in self._tried]

    # -- one after another ----------------------------------------------------------

    def _begin(self, tried: Tried) -> None:
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
        tried.best = self._today.retimed(problem, instance, clock=self._clock)
        if tried.limit.kind == "hoist":
            self._per_cents(tried, self._clock.share(0.02), prove=False)
        elif tried.best is not None:
            self._reaches(tried, self._clock.share(0.02))

    def _reaches(self, tried: Tried, clock: Clock) -> None:
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

    def _change(self, tried: Tried, new: Decimal) -> None:
        """Take a new figure, with nothing known of it but its bound."""
        tried.new, tried.best, tried.how, tried.floor = new, None, "stopped", 0
        tried.searched = False
        try:
            tried.problem = tried.limit.changed(self._today.problem, new)
            degree = self._today.instance.degree
            tried.instance = build_instance(tried.problem, degree, self._clock, several=True)
        except OutOfTime:
            raise
        except HoistoptError:  # no whole tick fits a window any more: nothing to be had
            tried.problem = tried.instance = None
            tried.floor, tried.how = self._today.cycle, "bound"
            return
        tried.floor = lowest_cycle(tried.instance)
        if tried.floor >= self._today.cycle:
            tried.how = "bound"

    def _sieve(self) -> None:
        """Find the limits that help by themselves, and prove that the others do not."""
        open_ones = {
            tried.limit: tried
            for tried in self._tried
            if tried.reached is None and not tried.never and self._can_vary(tried)
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

    def _bound_together(self) -> None:
        """Bound the cycle by what it would be with many limits giving way at once.

        Those of windows and ends of the line, and those of the hoist but for all of its times
        together: no single one gains more than all of them, and one search tells for all.
        """
        today = self._today
        for only_helps in (True, False):
            open_ones = [
                (tried, tried.instance)
                for tried in self._tried
                if tried.limit.only_helps is only_helps
                and tried.limit.kind != "hoist"
                and tried.instance is not None
                and tried.floor < today.cycle
                and comparable(today.instance, tried.instance)
            ]
            if len(open_ones) < 2 or self._clock.over or _routes(today, len(open_ones)) > MOST:
                continue
            self._clock.tell(f"{len(open_ones)} limits at once", total=len(self._tried))
            lines = [today.instance, *(instance for _, instance in open_ones)]
            bound = bound_of_all(lines, today.schedule, self._clock.share(TOGETHER))
            for tried, _ in open_ones:
                if bound > tried.floor:
                    tried.floor, tried.how = min(bound, today.cycle), "group"

    def _promise(self, tried: Tried) -> tuple[int, int]:
        """The most promising first."""
        if tried.best is not None:
            return 0, tried.best.cycle
        return (1 if tried.reached is not None else 2), tried.floor

    def _settle(self, tried: Tried, clock: Clock) -> None:
        if tried.never or clock.over:
            return
        self._tell("threshold of", tried)
        if self._today.proved:
            if tried.limit.kind == "hoist":
                self._per_cents(tried, clock.share(1 / 3), prove=True)
            elif (
                self._can_vary(tried)
                and tried.reached is not None
                and tried.proved < tried.reached.ticks
            ):
                tried.proved, tried.reached = least_ticks(
                    self._today, tried.reached, clock.share(1 / 3)
                )
        self._tell("gain of", tried)
        self._search(tried, clock)
        self._reaches(tried, clock)
        self._go_beyond(tried, clock)

    def _go_beyond(self, tried: Tried, clock: Clock) -> None:
        """Where the amount asked for gains nothing, show the limit where a gain begins."""
        today, reached = self._today, tried.reached
        if reached is None or tried.best is not None or tried.floor < today.cycle:
            return
        try:
            self._change(tried, tried.limit.stepped(reached.ticks, today.instance.ticks_per_unit))
        except OutOfTime:
            tried.floor = 0
        tried.best, tried.beyond = reached.schedule, True
        self._search(tried, clock)

    def _per_cents(self, tried: Tried, clock: Clock, *, prove: bool) -> None:
        """By how many per cent all of the hoist's times must fall, in whole ones."""
        if tried.reached is None and tried.best is not None and tried.new % 1 == 0:
            tried.reached = Reached(tried.limit, int(tried.new), tried.best)
        tried.proved, tried.reached = fewest_per_cent(
            self._today, tried.limit, tried.proved, tried.reached, clock, prove=prove
        )
        tried.never = tried.reached is None and tried.proved > tried.limit.steps(
            tried.limit.room or Decimal(0), self._today.instance.ticks_per_unit
        )

    def _search(self, tried: Tried, clock: Clock) -> None:
        """The shortest cycle with the new figure, from the best schedule and bound known."""
        if tried.instance is None or clock.over or tried.floor >= self._today.cycle:
            return
        known = tried.best
        if known is not None and known.cycle <= tried.floor:
            tried.floor, tried.how = known.cycle, "bound"
            return
        if known is None and tried.limit.only_helps:
            known = self._today.schedule
        instance = replace(tried.instance, shortest=max(tried.instance.shortest, tried.floor))
        if known is None:
            instance = held_to(instance, self._today.cycle - 1)
        assert tried.problem is not None
        shorten = shortener(tried.problem)
        found = least_cycle(instance, clock, known=known, again=tried.searched, shorten=shorten)
        tried.searched = True
        if found.status == "infeasible":
            tried.floor, tried.how = self._today.cycle, "search"
            return
        tried.floor = max(tried.floor, found.bound)
        if found.status == "optimal":
            tried.how = "search"
        if found.schedule is None or found.schedule.cycle >= self._today.cycle:
            return
        accepted(tried.problem, found.schedule, made_here=True)
        tried.best = found.schedule

    def _settled(self, tried: Tried) -> bool:
        """Whether more time could bring no more about a limit."""
        if tried.never:
            return True
        cycle = self._today.cycle if tried.best is None else tried.best.cycle
        if tried.floor < cycle:
            return False
        if not self._today.proved:
            return True
        if tried.limit.kind != "hoist" and not self._can_vary(tried):
            return tried.searched or tried.floor == cycle
        return tried.reached is not None and tried.proved >= tried.reached.ticks

    def _can_vary(self, tried: Tried) -> bool:
        """Whether a model can have the limit for a variable.

        All times of the hoist change by per cents. How long one of several hoists takes says
        where it is at what time, and so what two moves forbid each other.
        """
        if tried.limit.kind == "hoist":
            return False
        return self._today.instance.several is None or tried.limit.only_helps

    def _known(self, tried: Tried) -> tuple[object, ...]:
        cycle = None if tried.best is None else tried.best.cycle
        reached = None if tried.reached is None else tried.reached.ticks
        return tried.never, tried.new, tried.floor, cycle, tried.proved, reached

    def _shown(self) -> float:
        return float(self._today.in_unit(self._today.cycle))

    def _tell(self, words: str, tried: Tried) -> None:
        self._clock.tell(
            f"{words} {tried.limit.name}",
            done=self._done,
            total=len(self._tried),
            cycle_time=self._shown(),
        )


def _routes(today: Today, lines: int) -> int:
    """Routes of so many lines like today's."""
    return lines * sum(len(move.routes) for move in today.instance.moves)
