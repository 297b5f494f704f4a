"""The best programme of a finite problem so far, and what is proved of every programme."""

from __future__ import annotations

from collections.abc import Callable

from ...base.clock import Clock
from ...instance.finite import FiniteInstance
from .bounds import late_bound, lower_bound
from .chained import chained_bound
from .giving_way import goes
from .times import Timing, value

Tell = Callable[[int | None, int], None]

MANY_MOVES = 60
"""Moves; fewer are left to the whole model, and windows would be most of it."""
COMPILE_SHARE = 0.3
"""Of the time, for compiling the loops of a better bound, where no earlier run has."""


class Incumbent:
    """Keeps the best programme, and bounds on all of them; times in ticks.

    Parameters
    ----------
    instance : FiniteInstance
    clock : Clock
    tell : callable, optional
        Hears the best finish so far and the bound.
    only_late : bool
        Whether only the lateness is to be least, whatever the finish.

    Attributes
    ----------
    best : Timing or None
    bound, late_bound : int
        As in :class:`~.search.Programmed`, as far as they are proved.
    """

    def __init__(
        self, instance: FiniteInstance, clock: Clock, tell: Tell | None, *, only_late: bool
    ) -> None:
        self.instance, self.clock, self._tell = instance, clock, tell
        self.only_late = only_late
        self.bound = lower_bound(instance)
        self.late_bound = late_bound(instance)
        self.best: Timing | None = None
        self._known: dict[Timing, bool] = {}

    @property
    def proved(self) -> bool:
        """Whether no programme is better than the best."""
        if self.best is None:
            return False
        late, finish = value(self.instance, self.best)
        if self.only_late:
            return late <= self.late_bound
        return (late, finish) <= (self.late_bound, self.bound)

    def better(self, timing: Timing) -> None:
        """Keep a programme, if it is better."""
        if self.best is None or value(self.instance, timing) < value(self.instance, self.best):
            if not self.goes(timing):
                return
            self.best = timing
            if self._tell is not None:
                self._tell(timing.finish, self.bound)

    def goes(self, timing: Timing) -> bool:
        """Whether several hoists find ways, which may take as long as all the rest."""
        if self.instance.several is None:
            return True
        if timing not in self._known:
            first = self.best is None
            self._known[timing] = goes(self.instance, timing, self.clock, first=first)
        return self._known[timing]

    def know(self, timing: Timing, found: bool) -> None:
        """Take note of whether several hoists find ways in a programme, as somebody else saw."""
        self._known[timing] = found

    def raise_bound(self, share: float) -> None:
        """See what the hoist can do in a row, which no programme of many loads goes below.

        Parameters
        ----------
        share : float
            Of the time left, what that may take.
        """
        if len(self.instance.moves) < MANY_MOVES or self.only_late:
            return
        part = self.clock.share(share)
        bound = chained_bound(self.instance, part, self.clock.share(COMPILE_SHARE))
        self.bound = max(self.bound, bound)

    def hear(self, best: int | None, bound: int | None) -> None:
        """Tell how far a search has come."""
        if self._tell is not None and best is not None:
            self._tell(best, self.bound)
