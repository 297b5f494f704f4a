"""How little is lost of the loads in the line: the fewest, then the least over their maxima."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from ....base.clock import Clock, OutOfTime
from ... import cpsat
from ..bounds import horizon, lower_bound
from ..giving_way import goes
from ..times import Timing
from ..whole import Status
from .rescue import Rescue
from .soft_model import SoftModel
from .softness import Softness

FIRST = 0.25
"""Share of the time for a first programme of the loads in the line."""
PROOF = 0.5
"""Share of what is left of it for the fewest loads; the rest is for how long they overstay."""

Tell = Callable[[int | None, int], None]


@dataclass(frozen=True)
class Recovered:
    """What a recovery came to; times in ticks, bounds below every programme as good before.

    Attributes
    ----------
    status : str
        "optimal": all of it is proved; "feasible"; "infeasible": there is no programme
        even if every load in the line is lost; "unknown".
    timing : Timing or None
    lost, least_lost : int
        Weight of the loads lost, and its bound.
    over, least_over : int
        By how much they overstay in all, and its bound.
    late_bound : int
        Bound on the weighted lateness.
    bound : int
        Bound on the finish.
    """

    status: Status
    timing: Timing | None
    lost: int = 0
    least_lost: int = 0
    over: int = 0
    least_over: int = 0
    late_bound: int = 0
    bound: int = 0


class LeastLoss:
    """The search for how little is lost of the loads in the line.

    Parameters
    ----------
    softness : Softness
        With these loads alone.
    tell : callable, optional
        Hears the best finish so far and the bound.

    Attributes
    ----------
    best : Timing or None
        The best programme found.
    value : (int, int)
        Weight of the loads it loses, and ticks by which they overstay.
    least_lost, least_over : int
        Bounds on these; on the overstay of programmes that lose as little.
    status : str
        As in :class:`Recovered`.
    """

    def __init__(self, softness: Softness, tell: Tell | None = None) -> None:
        self.softness, self._tell = softness, tell
        self.clock = Clock()
        self.best: Timing | None = None
        self.value = (0, 0)
        self.least_lost = sum(softness.weights[number] for number in softness.needed.hopeless)
        self.least_over = sum(map(softness.surely_over, softness.hopeless))
        self.status: Status = "unknown"

    @property
    def proved(self) -> bool:
        """Whether none can lose less, or overstay less."""
        return self.best is not None and self.value == (self.least_lost, self.least_over)

    def go_on(self, clock: Clock) -> Recovered:
        """Search for so long; asked again it begins with the best found before.

        Parameters
        ----------
        clock : Clock
            When it is over, the best found by then is given.
        """
        self.clock = clock
        if not self.softness.instance.loads:
            self.best = Timing((), ())
        elif self.best is None:
            first = Rescue(self.softness, self.clock.share(FIRST)).run()
            if first is not None:
                self._take(first)
        if not self.proved:
            with suppress(OutOfTime):
                self._prove()
        if self.best is not None:
            self.status = "optimal" if self.proved else "feasible"
        lost, over = self.value
        return Recovered(self.status, self.best, lost, self.least_lost, over, self.least_over)

    def _take(self, timing: Timing) -> None:
        value = self.softness.value(timing)
        better = self.best is None or value < self.value
        first = self.best is None
        if better and goes(self.softness.instance, timing, self.clock, first=first):
            self.best, self.value = timing, value
            if self._tell is not None:
                self._tell(timing.finish, lower_bound(self.softness.soft))

    def _prove(self) -> None:
        model = SoftModel(self.softness, latest_finish(self.softness), self.clock)
        if self.best is None or self.value[0] > self.least_lost:
            status, bound = self._minimise(model, model.lost, self.clock.share(PROOF))
            if status == "infeasible":
                self.status = status
                return
            if self.softness.needed is self.softness:
                self.least_lost = max(self.least_lost, bound)
            if self.best is None:
                return
            self._prove_needed()
        model.whole.model.add(model.lost <= self.value[0])
        if self.value[1] > self.least_over:
            _, bound = self._minimise(model, model.over, self.clock)
            self.least_over = max(self.least_over, bound)

    def _prove_needed(self) -> None:
        """The fewest lost where no more is asked of several hoists than they need in any case."""
        needed = self.softness.needed
        if needed is self.softness or self.value[0] == self.least_lost:
            return
        clock = self.clock.share(PROOF)
        model = SoftModel(needed, latest_finish(needed), clock)
        model.whole.model.minimize(model.lost)
        status, solver = cpsat.minimise(model.whole.model, nobody, clock, symmetry=False)
        self.least_lost = max(self.least_lost, cpsat.proved_bound(solver, status))

    def _minimise(self, model: SoftModel, aim: Any, clock: Clock) -> tuple[Status, int]:
        if self.best is not None:
            model.hint(self.best)
        model.whole.model.minimize(aim)
        status, solver = cpsat.minimise(model.whole.model, nobody, clock, symmetry=False)
        if status in ("optimal", "feasible"):
            self._take(model.whole.timing(solver))
        return status, cpsat.proved_bound(solver, status)


def latest_finish(softness: Softness) -> int:
    """A time by which some programme is over that loses, and overstays, the least.

    In one of those every start hangs on another by a demand that is just met, and a dwell
    by its minimum or its maximum, so the maxima count here.
    """
    instance = softness.instance
    total = horizon(softness.soft) + max([0, *(load.latest or 0 for load in instance.loads)])
    return total + sum(
        max(0, stay.most - stay.least) for stay in instance.stays if stay.most is not None
    )


def nobody(best: int | None, bound: int | None) -> None:
    """Nobody hears how far the proof has come: loads and ticks are no finish."""
