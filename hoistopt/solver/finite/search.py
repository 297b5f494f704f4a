"""The least finish of a finite problem: what is tried in which order.

A first programme places the loads one after another, each exactly as early as it can be out
among those before; others begin with a cycle. Loads are taken off and placed again, and CP-SAT
looks at windows of time. Where there are few moves, it then proves or betters the programme on
the whole model.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cache
from math import factorial
from random import Random

from ...base.clock import Clock, OutOfTime
from ...instance.finite import FiniteInstance
from .again import Again, rebuilt
from .board import Board
from .bounds import late_bound, lower_bound
from .chained import chained_bound
from .construct import (
    arrivals,
    best_next,
    board_of,
    first_board,
    in_other_orders,
    value_of,
)
from .giving_way import goes
from .stretches import Pace, in_stretches
from .times import Timing, value
from .whole import Status, Whole
from .windows import Windows
from .zones import in_zones

Tell = Callable[[int | None, int], None]

MOST_FOR_MODEL = 150
"""Moves; a model of the pairs of more is built but seldom of use."""
SHARE = 0.5
"""Of the time for making a programme better in parts, where the whole model comes after that."""
FEW_VAIN, MANY_VAIN = 60, 200
"""Times that loads are placed again, or windows looked at, in vain, one after another: where
the whole model comes next, and where there is neither that nor a time limit, so that a search
always ends."""
OFTEN = 4
"""How often each order of few loads comes up on average before that is in vain."""
MANY_MOVES = 60
"""Moves; fewer are left to the whole model, and windows would be most of it."""
STRETCH_SHARE = 0.2
"""Of the time for placing loads in step with a cycle."""
ZONE_SHARE = 0.4
"""And with several hoists that keep to zones of the track."""
BOUND_SHARE, MORE_BOUND_SHARE, COMPILE_SHARE = 0.12, 0.3, 0.3
"""Of the time for a better bound; of what is left, where only the whole model comes after it; and
for compiling its loops, where no earlier run has."""
VAIN_LOOKS = 20
"""Windows looked at in vain after which the whole model comes next."""
GIVEN_SHARE, GIVEN_LATE_SHARE = 0.8, 0.45
"""Of the time left, at most, for the loads in the order given, where any may be taken; and where
loads are late so, which another order may help."""
LATE_SHARE = 0.25
"""Of the time for making a programme better in parts, where several hoists have loads late: the
whole model, told how late each may be at the most, is then soon settled."""
TRIES_A_LOOK = 4
"""Times that loads are placed again for each look at windows."""


@dataclass(frozen=True)
class Programmed:
    """What a search came to; times in ticks.

    Attributes
    ----------
    status : str
        "optimal", "feasible", "infeasible" or "unknown".
    timing : Timing or None
    bound : int
        No programme finishes earlier; of those with the least lateness, where that is asked.
    late_bound : int
        No programme has less weighted lateness.
    """

    status: Status
    timing: Timing | None
    bound: int
    late_bound: int = 0


def least_finish(
    instance: FiniteInstance,
    clock: Clock,
    tell: Tell | None = None,
    starts: Callable[[], Sequence[Timing]] = tuple,
    paces: Callable[[], Mapping[str, Pace]] = dict,
    *,
    only_late: bool = False,
) -> Programmed:
    """The programme of least lateness, then least finish.

    Parameters
    ----------
    instance : FiniteInstance
    clock : Clock
        When it is over, the best found by then is given.
    tell : callable, optional
        Hears the best finish so far and the bound.
    starts : callable, optional
        Gives programmes to begin with, which break no rule; asked once there is a first one.
    paces : callable, optional
        Gives how loads of a recipe follow each other in a cycle; asked after that, where there
        are many moves.
    only_late : bool
        Whether it ends once the lateness is proved, whatever the finish.
    """
    search = _Search(instance, clock, tell, only_late)
    return search.run(starts, paces)


class _Search:
    def __init__(
        self, instance: FiniteInstance, clock: Clock, tell: Tell | None, only_late: bool
    ) -> None:
        self.instance, self.clock, self._tell = instance, clock, tell
        self.only_late = only_late
        self.bound = lower_bound(instance)
        self.late_bound = late_bound(instance)
        self.best: Timing | None = None
        self._known: dict[Timing, bool] = {}
        self.whole = len(instance.moves) <= MOST_FOR_MODEL

    def run(
        self,
        starts: Callable[[], Sequence[Timing]],
        paces: Callable[[], Mapping[str, Pace]],
    ) -> Programmed:
        """All there is to be tried."""
        starts = cache(starts)
        given = self._in_order_given(starts)
        self._place(starts, paces, given)
        status: Status = "unknown" if self.best is None else "feasible"
        if self._proved():
            return self._found("optimal")
        if self.whole:
            self._raise_bound(MORE_BOUND_SHARE)
            if self._proved():
                return self._found("optimal")
            whole = Whole(self.instance, self.clock, self, only_late=self.only_late)
            with suppress(OutOfTime):
                status = whole.run()
            self.late_bound = max(self.late_bound, whole.late_bound)
            self.bound = max(self.bound, whole.bound)
        return self._found("optimal" if self._proved() else status)

    def _in_order_given(self, starts: Callable[[], Sequence[Timing]]) -> Timing | None:
        """Of several hoists, begin with the loads in the order in which they were given.

        That is searched so much sooner that a short search of all orders may else end with a
        worse programme.
        """
        instance = self.instance
        entering = instance.entering()
        kinds = {(load.recipe, load.earliest, load.due, load.weight) for load in entering}
        if instance.several is None or instance.sequence or len(kinds) < 2 or not self.whole:
            return None
        number = {load.number: place for place, load in enumerate(instance.loads)}
        given = tuple(number[load.number] for load in entering)
        held = replace(instance, sequence=given)
        first = first_board(held, self.clock.share(SHARE))
        late = first is not None and value_of(first)[0] > self.late_bound
        clock = self.clock.share(GIVEN_LATE_SHARE if late else GIVEN_SHARE)
        search = _Search(held, clock, None, self.only_late)
        search.run(lambda: [one for one in starts() if _enters_as(one, instance, given)], dict)
        if search.best is not None:
            self._known[search.best] = True
        return search.best

    def _found(self, status: Status) -> Programmed:
        return Programmed(status, self.best, self.bound, self.late_bound)

    def _proved(self) -> bool:
        if self.best is None:
            return False
        late, finish = value(self.instance, self.best)
        if self.only_late:
            return late <= self.late_bound
        return (late, finish) <= (self.late_bound, self.bound)

    def better(self, timing: Timing) -> None:
        """Keep a programme, if it is better."""
        if self.best is None or value(self.instance, timing) < value(self.instance, self.best):
            if not self._goes(timing):
                return
            self.best = timing
            if self._tell is not None:
                self._tell(timing.finish, self.bound)

    def _goes(self, timing: Timing) -> bool:
        """Whether several hoists find ways, which may take as long as all the rest."""
        if self.instance.several is None:
            return True
        if timing not in self._known:
            first = self.best is None
            self._known[timing] = goes(self.instance, timing, self.clock, first=first)
        return self._known[timing]

    # -- placing loads ---------------------------------------------------------------

    def _place(
        self,
        starts: Callable[[], Sequence[Timing]],
        paces: Callable[[], Mapping[str, Pace]],
        given: Timing | None,
    ) -> None:
        instance = self.instance
        if given is not None:
            self.better(given)
        board = None if given is None else board_of(instance, given)
        if board is None:
            board = first_board(instance, self.clock.share(SHARE))
        boards = [] if board is None else [board]
        many = len(instance.moves) >= MANY_MOVES and given is None
        if instance.several is not None and instance.join is None and many:
            # Before others: to find that hoists have no ways among many moves takes long, and is
            # not asked of a programme that is worse anyway.
            zoned = in_zones(instance, self.clock.share(ZONE_SHARE))
            if zoned is not None:
                self.better(zoned)
                if (known := board_of(instance, zoned)) is not None:
                    boards.append(known)
        if board is not None and given is None:
            self.better(board.timing())
        if board is not None and not self.whole:
            self._raise_bound(BOUND_SHARE)
        if self._proved():
            return
        for timing in starts():
            # Few, and known to be good: their ways are followed however little time is left.
            self._known[timing] = goes(self.instance, timing)
            self.better(timing)
            if (known := board_of(instance, timing)) is not None:
                boards.append(known)
        if board is not None:
            boards += self._begun(board, paces)
        if not boards:
            return
        held = min(boards, key=value_of)
        clock = self.clock.share(self._share()) if self.whole else self.clock
        if self.best is None and not self._find_ways(held, clock):
            return
        if len(instance.moves) < MANY_MOVES or instance.join is not None:
            self._rebuild(held, clock)
        else:
            self._improve(held, clock)

    def _share(self) -> float:
        """Of the time left, for making a programme better in parts before the whole model."""
        if self.instance.several is None or self.best is None:
            return SHARE
        late = value(self.instance, self.best)[0] > self.late_bound
        return LATE_SHARE if self.instance.due and late else SHARE

    def _find_ways(self, board: Board, clock: Clock) -> bool:
        """Place loads again until hoists that share a track find ways; whether they do."""
        rng = Random(self.clock.seed)
        for _ in range(MANY_VAIN):
            other = None if clock.over else rebuilt(board, rng)
            if other is not None:
                self.better(other.timing())
            if self.best is not None:
                return True
        return False

    def _raise_bound(self, share: float) -> None:
        """See what the hoist can do in a row, which no programme of many loads goes below."""
        if len(self.instance.moves) < MANY_MOVES or self.only_late:
            return
        part = self.clock.share(share)
        bound = chained_bound(self.instance, part, self.clock.share(COMPILE_SHARE))
        self.bound = max(self.bound, bound)

    def _begun(self, board: Board, paces: Callable[[], Mapping[str, Pace]]) -> list[Board]:
        """Other ways to place the loads that are to enter."""
        instance, waiting = self.instance, arrivals(self.instance)
        state = board.copy()
        for number in waiting:
            state.remove(number)
        boards = []
        if not instance.sequence and not self.clock.over:
            other = best_next(state, waiting)
            if other is not None:
                boards.append(other)
                self.better(other.timing())
            if instance.several is not None:
                for other in in_other_orders(state, waiting):
                    boards.append(other)
                    self.better(other.timing())
        if len(instance.moves) >= MANY_MOVES and not self.clock.over:
            found = in_stretches(state, paces(), self.clock.share(STRETCH_SHARE))
            boards += found
            for begun in found:
                self.better(begun.timing())
        return boards

    def _rebuild(self, board: Board, clock: Clock) -> None:
        """Take loads off and place them again, until that was in vain for long."""
        again = Again(board, Random(self.clock.seed))
        orders = OFTEN * factorial(min(len(board.ways), 9))  # of few loads there are no more
        few = min(FEW_VAIN, orders)
        most = few if self.whole else MANY_VAIN if clock.left is None else None
        while not clock.over and not self._proved() and (most is None or again.vain < most):
            if again.tried():
                self.better(again.best_board.timing())

    def _improve(self, board: Board, clock: Clock) -> None:
        """Windows of the best programme, and loads placed again, in turns."""
        rng = Random(self.clock.seed)
        windows, again = Windows(self.instance, rng), Again(board, rng)
        assert self.best is not None
        vain, most = 0, VAIN_LOOKS if self.whole else MANY_VAIN if clock.left is None else None
        while not clock.over and not self._proved() and (most is None or vain < most):
            before = value(self.instance, self.best)
            found = windows.look(self.best, clock)
            if value(self.instance, found) < before:
                self.better(found)
                if (other := board_of(self.instance, found)) is not None:
                    again = Again(other, rng)
            if found != self.best and value(self.instance, found) == before and self._goes(found):
                self.best = found  # as good, and perhaps another one
            for _ in range(TRIES_A_LOOK):
                if not clock.over and again.tried():
                    self.better(again.best_board.timing())
            vain = 0 if value(self.instance, self.best) < before else vain + 1

    def hear(self, best: int | None, bound: int | None) -> None:
        """Tell how far a search has come."""
        if self._tell is not None and best is not None:
            self._tell(best, self.bound)


def _enters_as(timing: Timing, instance: FiniteInstance, order: Sequence[int]) -> bool:
    """Whether loads enter in an order."""
    starts = [timing.starts[instance.loads[load].moves[0]] for load in order]
    return starts == sorted(starts)
