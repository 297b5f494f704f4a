"""The programme that goes over into a cycle soonest: what is tried in which order.

There is one finite problem for each way of joining. A first programme runs the line out and then
fills it, as soon as the loads before leave room. In each problem the joining is moved forward as
long as the loads can be placed one after another, each exactly, before the moves of the cycle.
CP-SAT then proves of each problem that it holds nothing better than the best programme known,
or finds something better: every one for a short while, those left over for longer and longer.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from random import Random

from ....base.clock import Clock, OutOfTime
from ....instance.finite import FiniteInstance
from ...cpsat import Status
from ..bounds import horizon
from ..times import Timing, value
from .candidate import Candidate, Value, value_of
from .first import Found, beside, fill_forward, filled_at_pace, found_of
from .incumbent import Incumbent, Tell
from .placing import Ways, board_at
from .run_out_and_fill import with_fill
from .whole import fits_model, look

BESIDE_SHARE = 0.1
"""Of the time left, at most, to place loads beside those that go out in every problem."""
AT_BOUNDS, AT_BOUNDS_SHARE = 40, 0.1
"""Problems in which a programme that meets the bound is looked for first, and of the time."""
MOVED = 9
"""Times that the joining is moved in one problem, at most."""
FIRST_WORK, MOST_WORK = 0.4, 60.0
"""Work for a problem in the first round, which doubles, and where a search without a time
limit ends; in CP-SAT's own measure, about a second each."""
MOST_INTERLEAVED = 6
"""Problems in which moves are let change places with those near them first."""
FIRST_WITHIN, NEAR_WORK = 600, 0.6
"""Ticks between moves that may change places at first, and work for one such search."""
NEAR_SHARE = 0.6
"""Of the time left, at most: for the best programme, then, loads placed, for all of them."""
FIRST_STEP = 600
"""Ticks by which the joining is put off at first, where there is no programme yet."""
SHARE = 0.35
"""Of the time for placing loads, where CP-SAT has its turn after that."""


@dataclass(frozen=True)
class Joined:
    """What a search came to; times in ticks.

    Attributes
    ----------
    status : str
        "optimal", "feasible", "infeasible" or "unknown".
    number : int
        Which of the candidates the best programme is one of; -1 without one.
    instance : FiniteInstance or None
        The problem of the best programme.
    timing : Timing or None
    bound : (int, int)
        No programme has a lesser value.
    """

    status: Status
    number: int
    instance: FiniteInstance | None
    timing: Timing | None
    bound: Value = (0, 0)


def soonest_joined(candidates: list[Candidate], clock: Clock) -> Joined:
    """The programme of least value over all ways of joining, searched for in one go."""
    return JoinSearch(candidates).go_on(clock)


class JoinSearch:
    """The search for the programme of least value over all ways of joining.

    Parameters
    ----------
    candidates : list of Candidate
    tell : callable, optional
        Hears the best value so far and the bound.
    others : (int, int), optional
        A bound on all ways of joining, where the candidates are not all there are; then
        nothing below it is proved.
    find_cleared : callable, optional
        Gives starts and routes by which the loads of the state are out of the line, for each
        of them; None where none are known. Asked once, where it is needed.
    with_ways : bool
        Whether several hoists have to find ways in what is kept.

    Attributes
    ----------
    proved : bool
        Whether nothing is left to be looked into.
    """

    def __init__(
        self,
        candidates: list[Candidate],
        tell: Tell | None = None,
        others: Value | None = None,
        find_cleared: Callable[[], Ways | None] = list,
        *,
        with_ways: bool = True,
    ) -> None:
        self.all = candidates
        self.kept = Incumbent(candidates, tell, others, with_ways=with_ways)
        self.clock = Clock()
        self.candidates: list[Candidate] = []  # in the order in which they are looked into
        self._find_cleared = find_cleared
        self._cleared: Ways | None = None
        self._work = FIRST_WORK
        self._settled: dict[Candidate, Timing] = {}

    @property
    def proved(self) -> bool:
        return bool(self.candidates) and all(one.closed for one in self.candidates)

    def go_on(self, clock: Clock) -> Joined:
        """All there is to be tried; again, and the proof goes on where it was.

        Parameters
        ----------
        clock : Clock
            When it is over, the best found by then is given.
        """
        self.clock = clock
        if not self.candidates:
            self._begin()
        with suppress(OutOfTime):
            self._prove()
        return self._joined()

    def placed(self, clock: Clock) -> Joined:
        """What placing loads comes to, without a search for a proof."""
        self.clock = clock
        self._begin()
        return self._joined()

    def _begin(self) -> None:
        self.candidates = sorted(self.all, key=lambda one: one.bound)
        self._at_bounds(self.clock.share(AT_BOUNDS_SHARE))
        if self.kept.bound != self.kept.value:
            self._first()
        if (one := self.kept.of) is not None and not one.closed:
            # What is best so far is made better first: after that others are soon judged.
            self._place(self.clock.share(SHARE), [one])
            with suppress(OutOfTime):
                self._interleave(self.clock.share(NEAR_SHARE), most=1)
        self._place(self.clock.share(SHARE), self.candidates)
        with suppress(OutOfTime):
            self._interleave(self.clock.share(NEAR_SHARE))

    def _joined(self) -> Joined:
        self.kept.close()
        done = all(one.closed for one in self.candidates)
        bound, status = self.kept.bound, self._status(done)
        of = self.kept.of
        return Joined(
            status,
            -1 if of is None else self.all.index(of),
            None if of is None else of.instance,
            self.kept.best,
            bound,
        )

    def _status(self, done: bool) -> Status:
        if self.kept.best is None:
            return "infeasible" if done and self.kept.others is None else "unknown"
        return "optimal" if self.kept.bound == self.kept.value else "feasible"

    # -- placing loads -----------------------------------------------------------------

    def _at_bounds(self, clock: Clock) -> None:
        """Look for a programme that meets its bound, such as one of a line nearly in step."""
        rng = Random(self.clock.seed)
        for one in self.candidates[:AT_BOUNDS]:
            if clock.over:
                return
            if one.closed or one.instance is None or self.kept.closed_now(one):
                continue
            board = board_at(one.instance, one.bound[1], rng, [])
            if board is not None:
                self.kept.better(one, board.timing(), self.clock)

    def _first(self) -> None:
        """A first programme: the line runs out, then fills; at the times of the cycle, or as
        soon as is known of the empty line."""
        self._cleared = self._find_cleared()
        leaving = [one for one in self.candidates if one.all_leave and not one.closed]
        found = [] if self._cleared is None else filled_at_pace(leaving, self._cleared, self.clock)
        for one in leaving:
            if self.clock.over:
                break
            if not one.closed and (fill := one.fill()) and one.instance is not None:
                after = found[-1][0][1] if found else horizon(one.instance)
                found += fill_forward(one, fill, after, self._cleared or [], self.clock)
        found += beside(leaving, self._cleared or [], self.clock.share(BESIDE_SHARE))
        found.sort(key=lambda each: each[0], reverse=True)
        self.kept.best_that_goes(found, self.clock)

    def _place(self, clock: Clock, candidates: Sequence[Candidate]) -> None:
        """Move the joining forward in some problems, the one of the lowest bound first."""
        rng = Random(self.clock.seed)
        for one in candidates:
            if clock.over:
                return
            if not one.closed and one.instance is not None and not self.kept.closed_now(one):
                self._move_forward(one, one.instance, clock, rng)

    def _move_forward(
        self, one: Candidate, instance: FiniteInstance, clock: Clock, rng: Random
    ) -> None:
        low, latest = one.bound[1], one.latest
        high = horizon(instance) if self.kept.value is None else self.kept.value[1] - 1
        high = high if latest is None else min(high, latest)
        at = low if self.kept.value is None and latest is None else high
        fill = one.fill()
        found: list[Found] = []
        cleared = (self._cleared if one.all_leave else None) or []
        tried = 0
        while tried < MOVED and not clock.over and low <= high:
            tried += 1
            board = with_fill(instance, at, cleared, fill) if fill else None
            board = board or board_at(instance, at, rng, cleared)
            if board is not None:
                found.append(found_of(one, board))
                high = at - 1
            else:
                low = at + 1
            at = (low + high) // 2
            if board is None and self.kept.value is None and latest is None:
                at = min(high, low + (low - one.bound[1]) + FIRST_STEP)
        self.kept.best_that_goes(found, self.clock)

    # -- the order held but for moves close to one another ---------------------------------

    def _interleave(self, clock: Clock, most: int = MOST_INTERLEAVED) -> None:
        """Let moves change places with those near them, in the most promising problems."""
        left = [
            one
            for one in self.candidates
            if not one.closed and one.best is not None and one.best is not self._settled.get(one)
        ]
        for one in sorted(left, key=lambda one: value_of(one))[:most]:
            within, vain = FIRST_WITHIN, 0
            while vain < 2 and not one.closed and not clock.over:
                before = value_of(one)
                self._look(one, NEAR_WORK, within)
                vain = 0 if value_of(one) < before else vain + 1
                within *= 2 if vain else 1
            if vain == 2 and one.best is not None:
                self._settled[one] = one.best

    # -- the whole model ----------------------------------------------------------------

    def _prove(self) -> None:
        self.candidates.sort(key=lambda one: (value_of(one), one.bound))
        while self._work <= MOST_WORK or self.clock.left is not None:
            left = [one for one in self.candidates if not one.closed and not one.stuck]
            if not left:
                return
            for one in left:
                self.clock.check()
                if not one.closed:
                    self._look(one, self._work)
            if not any(one.instance and fits_model(one.instance) for one in left):
                return
            self._work *= 2
            self.candidates.sort(key=lambda one: one.bound)

    def _look(self, one: Candidate, work: float, within: int | None = None) -> None:
        """Look at one problem; with `within` near the order of its best programme only."""
        instance, kept = one.instance, self.kept
        if instance is None or kept.closed_now(one) or not fits_model(instance):
            return
        below = kept.value if within is None else value_of(one)
        seen = look(instance, self.clock, work, below, one.best, within)
        with_ways = seen.timing is None or kept.better(one, seen.timing, self.clock)
        if within is not None:
            return
        if seen.timing is not None and seen.status == "optimal" and not with_ways:
            # Hoists find no ways in the best there is; others as good may have some.
            one.bound, one.stuck = max(one.bound, value(instance, seen.timing)), True
            return
        if seen.status in ("optimal", "infeasible"):
            one.closed = True
            if one is not kept.of:
                one.forget()
            return
        one.bound = max(one.bound, seen.bound)
        kept.close()
