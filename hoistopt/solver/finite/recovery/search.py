"""The fewest loads lost, then the least time over a maximum, then lateness, then the finish.

Loads that have not entered can wait until the line is empty, so what is lost, and by how much
it overstays, is a question about the loads in the line alone. It is asked first, and the
answer holds whatever is ordered. Then all loads are planned with as much lost.
"""

from __future__ import annotations

from contextlib import suppress
from typing import Any

from ....base.clock import Clock, OutOfTime
from ....instance.finite import FiniteInstance
from ... import cpsat
from ..bounds import lower_bound
from ..giving_way import goes
from ..placing.construct import add_loads
from ..search import MOST_FOR_MODEL, least_finish
from ..times import Timing, lateness
from ..whole import Status
from .least_loss import LeastLoss, Recovered, Tell, latest_finish, nobody
from .soft_model import SoftModel
from .softness import Softness

INSIDE, ALONE = 0.6, 0.85
"""Share of the time for how little is lost, with orders to be planned after that and without."""
PLAN = 0.5
"""Share of the rest for a programme of all loads that lets none overstay longer than found."""


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
        latest = latest_finish(self.softness) if due else self.best.finish
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
        status, solver = cpsat.minimise(model.whole.model, nobody, self.clock, symmetry=False)
        if status in ("optimal", "feasible"):
            self._take(model.whole.timing(solver))
        return status, cpsat.proved_bound(solver, status)

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
