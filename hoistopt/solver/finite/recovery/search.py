"""The fewest loads lost, then the least time over a maximum, then lateness, then the finish.

Loads that have not entered can wait until the line is empty, so what is lost, and by how much
it overstays, is a question about the loads in the line alone. It is asked first, and the
answer holds whatever is ordered. Then all loads are planned with as much lost.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from ....base.clock import Clock, OutOfTime
from ....instance.finite import FiniteInstance
from ... import cpsat
from ..bounds import horizon, lower_bound
from ..construct import add_loads
from ..giving_way import goes
from ..search import MOST_FOR_MODEL, Status, least_finish
from ..times import Timing, lateness
from .rescue import Rescue
from .soft_model import SoftModel
from .softness import Softness

FIRST = 0.25
"""Share of the time for a first programme of the loads in the line."""
INSIDE, ALONE = 0.6, 0.85
"""Share of the time for how little is lost, with orders to be planned after that and without."""
PROOF = 0.5
"""Share of what is left of it for the fewest loads; the rest is for how long they overstay."""
PLAN = 0.5
"""Share of the rest for a programme of all loads that lets none overstay longer than found."""

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


def recover(whole: Softness, inside: Softness, clock: Clock, tell: Tell | None = None) -> Recovered:
    """The programme that loses the least.

    Parameters
    ----------
    whole : Softness
        With all loads.
    inside : Softness
        With the loads in the line alone, which are the first of the whole, move by move.
    clock : Clock
        When it is over, the best found by then is given.
    tell : callable, optional
        Hears the best finish so far and the bound.
    """
    orders = len(whole.instance.loads) > len(inside.instance.loads)
    heard = None if orders else tell
    found = LeastLoss(inside, heard).go_on(clock.share(INSIDE if orders else ALONE))
    if found.timing is None:
        return found
    return _Whole(whole, inside, found, clock, tell).run()


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
        model = SoftModel(self.softness, _horizon(self.softness), self.clock)
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
        model = SoftModel(needed, _horizon(needed), clock)
        model.whole.model.minimize(model.lost)
        status, solver = cpsat.minimise(model.whole.model, _nobody, clock, symmetry=False)
        self.least_lost = max(self.least_lost, _bound(solver, status))

    def _minimise(self, model: SoftModel, aim: Any, clock: Clock) -> tuple[Status, int]:
        if self.best is not None:
            model.hint(self.best)
        model.whole.model.minimize(aim)
        status, solver = cpsat.minimise(model.whole.model, _nobody, clock, symmetry=False)
        if status in ("optimal", "feasible"):
            self._take(model.whole.timing(solver))
        return status, _bound(solver, status)


class _Whole:
    """All loads, with as much lost as must be."""

    def __init__(
        self,
        whole: Softness,
        inside: Softness,
        found: Recovered,
        clock: Clock,
        tell: Tell | None,
    ) -> None:
        self.softness, self.inside, self.found = whole, inside, found
        self.clock, self._tell = clock, tell
        self.bound = lower_bound(whole.soft)
        self.late_bound = 0
        self.best: Timing | None = None

    def run(self) -> Recovered:
        found, instance = self.found, self.softness.instance
        assert found.timing is not None
        capped = self.softness.capped(found.timing)
        start = self._extended(capped, found.timing)
        if start is not None:
            self._take(start)
        exact = found.status == "optimal"
        model = len(instance.moves) <= MOST_FOR_MODEL and found.lost > 0 and exact
        hard = least_finish(
            capped,
            self.clock.share(PLAN) if model else self.clock,
            self._tell,
            starts=lambda: [] if start is None else [start],
        )
        if hard.timing is not None:
            self._take(hard.timing)
        if found.lost == 0 and exact:  # nothing was capped: this is the plain question
            self.bound, self.late_bound = hard.bound, hard.late_bound
        elif model:
            with suppress(OutOfTime):
                self._prove()
        return self._result(hard.status)

    def _extended(self, capped: FiniteInstance, timing: Timing) -> Timing | None:
        """The programme found for the loads in the line, with the others placed beside them."""
        inside = self.inside.instance.loads
        fixed = {
            number: [(timing.starts[move], timing.routes[move]) for move in load.moves]
            for number, load in enumerate(inside)
        }
        entering = sorted(
            range(len(inside), len(capped.loads)), key=lambda n: capped.loads[n].number
        )
        with suppress(ValueError):
            return add_loads(capped, fixed, entering, in_order=bool(capped.sequence))
        return None

    def _value(self, timing: Timing) -> tuple[int, ...]:
        late = lateness(self.softness.instance, timing)
        return (*self.softness.value(timing), late, timing.finish)

    def _take(self, timing: Timing) -> None:
        better = self.best is None or self._value(timing) < self._value(self.best)
        first = self.best is None
        if better and goes(self.softness.instance, timing, self.clock, first=first):
            self.best = timing
            if self._tell is not None:
                self._tell(timing.finish, self.bound)

    def _prove(self) -> None:
        """The least lateness and finish of all programmes that lose and overstay as little."""
        if self.best is None or self._done():
            return
        due = self.softness.instance.due
        latest = _horizon(self.softness) if due else self.best.finish
        model = SoftModel(self.softness, max(latest, self.best.finish), self.clock)
        rules = model.whole.model
        rules.add(model.lost <= self.found.lost)
        rules.add(model.over <= self.found.over)
        if due:
            late = model.whole.lateness()
            status, bound = self._minimise(model, late)
            self.late_bound = bound
            if status != "optimal":
                return
            rules.add(late <= bound)
        _, bound = self._minimise(model, model.whole.aim)
        self.bound = max(self.bound, bound)

    def _minimise(self, model: SoftModel, aim: Any) -> tuple[Status, int]:
        assert self.best is not None
        model.hint(self.best)
        model.whole.model.minimize(aim)
        status, solver = cpsat.minimise(model.whole.model, _nobody, self.clock, symmetry=False)
        if status in ("optimal", "feasible"):
            self._take(model.whole.timing(solver))
        return status, _bound(solver, status)

    def _done(self) -> bool:
        least = (self.found.least_lost, self.found.least_over, self.late_bound, self.bound)
        return self.best is not None and self._value(self.best) == least

    def _result(self, status: Status) -> Recovered:
        found = self.found
        if self.best is not None:
            status = "optimal" if self._done() else "feasible"
        elif found.lost:
            status = "unknown"
        lost, over = (0, 0) if self.best is None else self.softness.value(self.best)
        return Recovered(
            status,
            self.best,
            lost,
            found.least_lost,
            over,
            found.least_over,
            self.late_bound,
            self.bound,
        )


def _horizon(softness: Softness) -> int:
    """A time by which some programme is over that loses, and overstays, the least.

    In one of those every start hangs on another by a demand that is just met, and a dwell
    by its minimum or its maximum, so the maxima count here.
    """
    instance = softness.instance
    total = horizon(softness.soft) + max([0, *(load.latest or 0 for load in instance.loads)])
    return total + sum(
        max(0, stay.most - stay.least) for stay in instance.stays if stay.most is not None
    )


def _bound(solver: cpsat.cp_model.CpSolver, status: Status) -> int:
    if status == "optimal":
        return round(solver.objective_value)
    if status in ("unknown", "infeasible"):
        return 0
    return cpsat.least_proved(solver)


def _nobody(best: int | None, bound: int | None) -> None:
    """Nobody hears how far the proof has come: loads and ticks are no finish."""
