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
from dataclasses import dataclass, field
from random import Random
from typing import Literal

from ....base.clock import Clock, OutOfTime
from ....instance.finite import FiniteInstance
from ... import cpsat
from ..bounds import horizon
from ..giving_way import goes
from ..model import FiniteModel
from ..times import Timing, value
from .candidate import Candidate, Value, value_of
from .first import Found, beside, fill_forward, filled_at_pace, found_of
from .placing import Ways, board_at
from .run_out_and_fill import with_fill

Status = Literal["optimal", "feasible", "infeasible", "unknown"]

MOST_FOR_MODEL = 260
"""Moves that are not the cycle's; a model of the pairs of more is built but seldom of use."""
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


Tell = Callable[[Value | None, Value], None]


def soonest_joined(candidates: list[Candidate], clock: Clock) -> Joined:
    """The programme of least value over all ways of joining, searched for in one go."""
    return JoinSearch(candidates).go_on(clock)


@dataclass
class JoinSearch:
    """The search for the programme of least value over all ways of joining.

    Parameters
    ----------
    all : list of Candidate
    tell : callable, optional
        Hears the best value so far and the bound.
    others : (int, int), optional
        A bound on all ways of joining, where the candidates are not all there are; then
        nothing below it is proved.
    with_ways : bool
        Whether several hoists have to find ways in what is kept.
    find_cleared : callable, optional
        Gives starts and routes by which the loads of the state are out of the line, for each
        of them; None where none are known. Asked once, where it is needed.

    Attributes
    ----------
    proved : bool
        Whether nothing is left to be looked into.
    """

    all: list[Candidate]
    tell: Tell | None = None
    others: Value | None = None
    find_cleared: Callable[[], Ways | None] = list
    with_ways: bool = True
    clock: Clock = field(default_factory=Clock)
    cleared: Ways | None = None
    best: Timing | None = None
    of: Candidate | None = None
    value: Value | None = None
    candidates: list[Candidate] = field(default_factory=list)
    work: float = FIRST_WORK
    _settled: dict[Candidate, Timing] = field(default_factory=dict)

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
        if self._bound() != self.value:
            self._first()
        if (one := self.of) is not None and not one.closed:
            # What is best so far is made better first: after that others are soon judged.
            self._place(self.clock.share(SHARE), [one])
            with suppress(OutOfTime):
                self._interleave(self.clock.share(NEAR_SHARE), most=1)
        self._place(self.clock.share(SHARE), self.candidates)
        with suppress(OutOfTime):
            self._interleave(self.clock.share(NEAR_SHARE))

    def _joined(self) -> Joined:
        self._close()
        done = all(one.closed for one in self.candidates)
        bound, status = self._bound(), self._status(done)
        of = self.of
        return Joined(
            status,
            -1 if of is None else self.all.index(of),
            None if of is None else of.instance,
            self.best,
            bound,
        )

    def _status(self, done: bool) -> Status:
        if self.best is None:
            return "infeasible" if done and self.others is None else "unknown"
        return "optimal" if self._bound() == self.value else "feasible"

    def _bound(self) -> Value:
        left = [one.bound for one in self.candidates if not one.closed]
        left += [] if self.others is None else [self.others]
        left += [] if self.value is None else [self.value]
        return min(left, default=(0, 0))

    def _better(self, one: Candidate, timing: Timing) -> bool:
        """Keep a programme of a candidate, if it is better; whether it is one.

        One better than all others is a programme only where several hoists find ways; others
        are there to begin a search of their problem with.
        """
        assert one.instance is not None
        found = value(one.instance, timing)
        best, first = self.value is None or found < self.value, self.value is None
        ways = best and self.with_ways
        if ways and not goes(one.instance, timing, self.clock, first=first):
            return False
        if one.best is None or found < value(one.instance, one.best):
            one.best = timing
        if self.value is None or found < self.value:
            self.best, self.of, self.value = timing, one, found
            self._close()
            if self.tell is not None:
                self.tell(found, self._bound())
        return True

    def _close(self) -> None:
        for one in self.candidates:
            if self.value is None or one.bound < self.value or one.closed:
                continue
            one.closed = True
            if one is not self.of:
                one.forget()

    # -- placing loads -----------------------------------------------------------------

    def _at_bounds(self, clock: Clock) -> None:
        """Look for a programme that meets its bound, such as one of a line nearly in step."""
        rng = Random(self.clock.seed)
        for one in self.candidates[:AT_BOUNDS]:
            if clock.over:
                return
            if one.closed or one.instance is None or self._closed_now(one):
                continue
            board = board_at(one.instance, one.bound[1], rng, [])
            if board is not None:
                self._better(one, board.timing())

    def _first(self) -> None:
        """A first programme: the line runs out, then fills; at the times of the cycle, or as
        soon as is known of the empty line."""
        self.cleared = self.find_cleared()
        leaving = [one for one in self.candidates if one.all_leave and not one.closed]
        found = [] if self.cleared is None else filled_at_pace(leaving, self.cleared, self.clock)
        for one in leaving:
            if self.clock.over:
                break
            if not one.closed and (fill := one.fill()) and one.instance is not None:
                after = found[-1][0][1] if found else horizon(one.instance)
                found += fill_forward(one, fill, after, self.cleared or [], self.clock)
        found += beside(leaving, self.cleared or [], self.clock.share(BESIDE_SHARE))
        self._best_that_goes(sorted(found, key=lambda each: each[0], reverse=True))

    def _best_that_goes(self, found: list[Found]) -> None:
        """Keep the last of some programmes, each better than those before, for which hoists find
        ways: of the last and a few more, and then of the first."""
        back = 1
        while back < len(found) and (back == 1 or not self.clock.over):
            if self._better(*found[-back][1:]):
                return
            back *= 2
        if found:
            self._better(*found[0][1:])

    def _place(self, clock: Clock, candidates: Sequence[Candidate]) -> None:
        """Move the joining forward in some problems, the one of the lowest bound first."""
        rng = Random(self.clock.seed)
        for one in candidates:
            if clock.over:
                return
            if not one.closed and one.instance is not None and not self._closed_now(one):
                self._move_forward(one, one.instance, clock, rng)

    def _closed_now(self, one: Candidate) -> bool:
        """Whether a candidate, its problem built, holds nothing better."""
        late = one.latest is not None and one.bound[1] > one.latest
        if late or (self.value is not None and one.bound >= self.value):
            one.forget()
        return one.closed

    def _move_forward(
        self, one: Candidate, instance: FiniteInstance, clock: Clock, rng: Random
    ) -> None:
        low, latest = one.bound[1], one.latest
        high = horizon(instance) if self.value is None else self.value[1] - 1
        high = high if latest is None else min(high, latest)
        at = low if self.value is None and latest is None else high
        fill = one.fill()
        found: list[Found] = []
        cleared = (self.cleared if one.all_leave else None) or []
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
            if board is None and self.value is None and latest is None:
                at = min(high, low + (low - one.bound[1]) + FIRST_STEP)
        self._best_that_goes(found)

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
                self._model(one, NEAR_WORK, within)
                vain = 0 if value_of(one) < before else vain + 1
                within *= 2 if vain else 1
            if vain == 2 and one.best is not None:
                self._settled[one] = one.best

    # -- the whole model ----------------------------------------------------------------

    def _prove(self) -> None:
        self.candidates.sort(key=lambda one: (value_of(one), one.bound))
        while self.work <= MOST_WORK or self.clock.left is not None:
            left = [one for one in self.candidates if not one.closed and not one.stuck]
            if not left:
                return
            for one in left:
                self.clock.check()
                if not one.closed:
                    self._model(one, self.work)
            if not any(one.instance and _free(one.instance) <= MOST_FOR_MODEL for one in left):
                return
            self.work *= 2
            self.candidates.sort(key=lambda one: one.bound)

    def _model(self, one: Candidate, work: float, within: int | None = None) -> None:
        """Search one problem; with `within` near the order of its best programme only."""
        instance = one.instance
        if instance is None or self._closed_now(one) or _free(instance) > MOST_FOR_MODEL:
            return
        asked = instance.join is not None and bool(instance.join.leaving)
        latest = horizon(instance)
        most = self.value if within is None else value_of(one)
        if most is not None:
            latest = min(latest, most[1] - 1) if not asked else max(latest, most[1])
        model = FiniteModel(instance, latest, self.clock)
        if most is not None and asked:
            model.model.add(model.aim < most[0] * model.weight + most[1])
        if one.best is not None:
            model.hint(one.best)
            if within is not None:
                model.hold_order(one.best, within)
        model.model.minimize(model.aim)
        status, solver = cpsat.minimise(
            model.model, lambda *_: None, self.clock, work=work, symmetry=False
        )
        with_ways = True
        if status in ("optimal", "feasible"):
            with_ways = self._better(one, model.timing(solver))
        if within is not None:
            return
        if status == "optimal" and not with_ways:
            # Hoists find no ways in the best there is; others as good may have some.
            found = value(instance, model.timing(solver))
            one.bound, one.stuck = max(one.bound, found), True
            return
        if status in ("optimal", "infeasible"):
            one.closed = True
            if one is not self.of:
                one.forget()
            return
        bound = cpsat.least_proved(solver)
        known = divmod(bound, model.weight) if asked else (0, bound)
        one.bound = max(one.bound, known)
        self._close()


def _free(instance: FiniteInstance) -> int:
    return len(instance.moves) - len(instance.tied)
