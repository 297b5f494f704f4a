"""What is asked, one under another, where a line goes over into a cycle.

How little is lost after a stop, and how late the orders are, are questions about the loads of the
state and of the orders alone: the cycle can wait until they are out. So each is asked of the line
run out, and the answer holds for all ways of joining: no load may stand longer than there, nor the
orders be later, and the cycle is joined as soon as can be.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from ...base.clock import Clock, OutOfTime
from ...base.errors import InfeasibleError
from ...instance.finite import FiniteInstance
from ...solver.finite import Joined, JoinSearch, Timing, add_loads, least_finish
from ...solver.finite.bounds import late_bound
from ...solver.finite.joining import Ways
from ...solver.finite.placing.construct import first_board
from ...solver.finite.recovery import LeastLoss, Recovered, Softness
from ...solver.finite.times import lateness

CLEARING = 0.2
"""Of the time, at most, for a way to empty the line first."""


class Loss:
    """How little is lost of the loads in the line.

    Parameters
    ----------
    softness : Softness
        Of these loads alone.

    Attributes
    ----------
    found : Recovered or None
    """

    def __init__(self, softness: Softness) -> None:
        self.softness = softness
        self._search = LeastLoss(softness)
        self.found: Recovered | None = None

    @property
    def timing(self) -> Timing | None:
        """How the line runs out with as little lost."""
        return self._search.best

    @property
    def proved(self) -> bool:
        """Whether none can lose, or overstay, less."""
        return self._search.proved

    @property
    def failed(self) -> bool:
        """Whether there is no programme."""
        return self.timing is None

    def go_on(self, clock: Clock) -> bool:
        """Search on; whether less is lost."""
        before = self.timing
        self.found = self._search.go_on(clock)
        return self.timing is not before

    def anew(self) -> None:
        """Nothing comes before it."""


class RunOut:
    """The line run out, everything that is ordered done: a way to begin with, and how late.

    Parameters
    ----------
    build : callable
        Gives the problem; raises InfeasibleError, or OutOfTime.
    loss : Loss or None
        What is lost before; no load stands longer than there.
    begin : callable
        Gives programmes of the problem that are known without a search.

    Attributes
    ----------
    instance : FiniteInstance or None
        Once it is built.
    timing : Timing or None
        The least late known.
    bound : int
        No programme has less weighted lateness.
    """

    def __init__(
        self,
        build: Callable[[], FiniteInstance],
        loss: Loss | None,
        begin: Callable[[FiniteInstance], Sequence[Timing]],
    ) -> None:
        self._build, self._loss, self._begin = build, loss, begin
        self.instance: FiniteInstance | None = None
        self.timing: Timing | None = None
        self.bound = 0
        self._impossible = False

    @property
    def late(self) -> int | None:
        """Weighted lateness of the way known."""
        if self.instance is None or self.timing is None:
            return None
        return lateness(self.instance, self.timing)

    @property
    def proved(self) -> bool:
        """Whether none is less late, or there is no way."""
        return self._impossible or (self.late is not None and self.late <= self.bound)

    @property
    def failed(self) -> bool:
        """Never: the cycle may be joined even where no way is known to run out first."""
        return False

    def go_on(self, clock: Clock) -> bool:
        """Search on; whether a way was found that is less late."""
        before = self.late
        instance = self._built()
        if instance is None:
            return False
        starts = [] if self.timing is None else [self.timing]
        found = least_finish(instance, clock, starts=lambda: starts, only_late=True)
        self.bound = max(self.bound, found.late_bound)
        self._impossible = found.status == "infeasible"
        if found.timing is not None and (
            before is None or lateness(instance, found.timing) < before
        ):
            self.timing = found.timing
        return self.late != before

    def anew(self) -> None:
        """Another way is to be found, with less lost."""
        self.instance = self.timing = None
        self.bound = 0

    def ways(self, clock: Clock) -> Ways | None:
        """Starts and routes by load; None where none are known."""
        instance = self._built()
        if instance is None:
            return None
        timing = self.timing
        if timing is None:
            board = first_board(instance, clock.share(0.05))
            timing = None if board is None else board.timing()
        if timing is None:
            timing = least_finish(instance, clock.share(CLEARING)).timing
        if timing is None:
            return None
        self.timing = timing
        return [
            [(timing.starts[move], timing.routes[move]) for move in load.moves]
            for load in instance.loads
        ]

    def _built(self) -> FiniteInstance | None:
        if self.instance is not None:
            return self.instance
        try:
            built = self._build()
        except (InfeasibleError, OutOfTime):
            return None
        loss = self._loss
        if loss is not None and loss.timing is not None:
            built = Softness(built, loss.softness.weights).capped(loss.timing)
            self.timing = self.timing or _with_orders(built, loss.timing)
        elif loss is None and self.timing is None:
            self.timing = next(iter(self._begin(built)), None)
        self.bound = late_bound(built)
        self.instance = built
        return built


def _with_orders(instance: FiniteInstance, rescue: Timing) -> Timing | None:
    """A rescue of the loads of the state, which come first, and the loads ordered beside it."""
    inside = [n for n, load in enumerate(instance.loads) if not load.enters]
    fixed = {
        n: [(rescue.starts[m], rescue.routes[m]) for m in instance.loads[n].moves] for n in inside
    }
    waiting = instance.sequence or range(len(inside), len(instance.loads))
    try:
        return add_loads(instance, fixed, list(waiting), in_order=bool(instance.sequence))
    except ValueError:
        return None


class Joining:
    """The cycle joined as soon as can be.

    Parameters
    ----------
    search : callable
        Makes a search under the answers before.

    Attributes
    ----------
    found : Joined or None
        The last answer with a programme, or else the last.
    """

    def __init__(self, search: Callable[[], JoinSearch]) -> None:
        self._make = search
        self._search = search()
        self.found: Joined | None = None

    @property
    def proved(self) -> bool:
        """Whether none is sooner in step."""
        return self._search.proved

    @property
    def failed(self) -> bool:
        """Nothing comes after it."""
        return False

    def go_on(self, clock: Clock) -> bool:
        """Search on; whether a better programme was found."""
        before = None if self.found is None else self.found.timing
        found = self._search.go_on(clock)
        if found.timing is not None or before is None:
            self.found = found
        return self.found is not None and self.found.timing is not before

    def anew(self) -> None:
        """Begin again, as more is asked now; the programme known is one of less."""
        if self.found is not None:
            self.found = replace(self.found, status="feasible", bound=(0, 0))
        self._search = self._make()
