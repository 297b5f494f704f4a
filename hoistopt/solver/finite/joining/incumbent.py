"""The best programme over all ways of joining, and which of them may hold a better one."""

from __future__ import annotations

from collections.abc import Callable

from ....base.clock import Clock
from ..giving_way import goes
from ..times import Timing, value
from .candidate import Candidate, Value
from .first import Found

Tell = Callable[[Value | None, Value], None]


class Incumbent:
    """Keeps the best programme, and closes the candidates that hold none better.

    Parameters
    ----------
    candidates : list of Candidate
    tell : callable, optional
        Hears the best value so far and the bound.
    others : (int, int), optional
        A bound on all ways of joining, where the candidates are not all there are.
    with_ways : bool
        Whether several hoists have to find ways in what is kept.

    Attributes
    ----------
    best : Timing or None
    of : Candidate or None
        Which of the candidates the best programme is one of.
    value : (int, int) or None
        What is to be least, of the best programme.
    """

    def __init__(
        self,
        candidates: list[Candidate],
        tell: Tell | None,
        others: Value | None,
        *,
        with_ways: bool,
    ) -> None:
        self.candidates, self.others = candidates, others
        self._tell, self._with_ways = tell, with_ways
        self.best: Timing | None = None
        self.of: Candidate | None = None
        self.value: Value | None = None

    @property
    def bound(self) -> Value:
        """What no programme has a lesser value than."""
        left = [one.bound for one in self.candidates if not one.closed]
        left += [] if self.others is None else [self.others]
        left += [] if self.value is None else [self.value]
        return min(left, default=(0, 0))

    def better(self, one: Candidate, timing: Timing, clock: Clock) -> bool:
        """Keep a programme of a candidate, if it is better; whether it is one.

        One better than all others is a programme only where several hoists find ways; others
        are there to begin a search of their problem with.
        """
        assert one.instance is not None
        found = value(one.instance, timing)
        best, first = self.value is None or found < self.value, self.value is None
        ways = best and self._with_ways
        if ways and not goes(one.instance, timing, clock, first=first):
            return False
        if one.best is None or found < value(one.instance, one.best):
            one.best = timing
        if self.value is None or found < self.value:
            self.best, self.of, self.value = timing, one, found
            self.close()
            if self._tell is not None:
                self._tell(found, self.bound)
        return True

    def best_that_goes(self, found: list[Found], clock: Clock) -> None:
        """Keep the last of some programmes, each better than those before, for which hoists find
        ways: of the last and a few more, and then of the first."""
        back = 1
        while back < len(found) and (back == 1 or not clock.over):
            if self.better(*found[-back][1:], clock):
                return
            back *= 2
        if found:
            self.better(*found[0][1:], clock)

    def close(self) -> None:
        """Close the candidates whose bound is no better than the best."""
        for one in self.candidates:
            if self.value is None or one.bound < self.value or one.closed:
                continue
            one.closed = True
            if one is not self.of:
                one.forget()

    def closed_now(self, one: Candidate) -> bool:
        """Whether a candidate, its problem built, holds nothing better."""
        late = one.latest is not None and one.bound[1] > one.latest
        if late or (self.value is not None and one.bound >= self.value):
            one.forget()
        return one.closed
