"""A programme made from parts: loads placed one after another, some again, windows of time.

A first programme places the loads one after another; others begin with a cycle, or with hoists
that keep to zones. Loads are taken off and placed again, and CP-SAT looks at windows of time.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import factorial
from random import Random

from ...base.clock import Clock
from .giving_way import goes
from .incumbent import MANY_MOVES, Incumbent
from .placing.again import Again, rebuilt
from .placing.board import Board
from .placing.construct import (
    arrivals,
    best_next,
    board_of,
    first_board,
    in_other_orders,
    value_of,
)
from .placing.stretches import Pace, in_stretches
from .placing.zones import in_zones
from .times import Timing, value
from .windows import Windows

SHARE = 0.5
"""Of the time for making a programme better in parts, where the whole model comes after that."""
FEW_VAIN, MANY_VAIN = 60, 200
"""Times that loads are placed again, or windows looked at, in vain, one after another: where
the whole model comes next, and where there is neither that nor a time limit, so that a search
always ends."""
OFTEN = 4
"""How often each order of few loads comes up on average before that is in vain."""
STRETCH_SHARE = 0.2
"""Of the time for placing loads in step with a cycle."""
ZONE_SHARE = 0.4
"""And with several hoists that keep to zones of the track."""
BOUND_SHARE = 0.12
"""Of the time for a better bound."""
VAIN_LOOKS = 20
"""Windows looked at in vain after which the whole model comes next."""
LATE_SHARE = 0.25
"""Of the time for making a programme better in parts, where several hoists have loads late: the
whole model, told how late each may be at the most, is then soon settled."""
TRIES_A_LOOK = 4
"""Times that loads are placed again for each look at windows."""


class InParts:
    """A search that places loads, and looks at windows of time, but never at the whole model.

    Parameters
    ----------
    incumbent : Incumbent
        Keeps the best programme, and has the problem and the clock.
    whole : bool
        Whether the whole model comes after it, so that it leaves time for that.
    """

    def __init__(self, incumbent: Incumbent, *, whole: bool) -> None:
        self.kept, self.whole = incumbent, whole
        self.instance, self.clock = incumbent.instance, incumbent.clock

    def run(
        self,
        starts: Callable[[], Sequence[Timing]],
        paces: Callable[[], Mapping[str, Pace]],
        given: Timing | None,
    ) -> None:
        """All of it; the incumbent hears of every programme.

        Parameters
        ----------
        starts, paces : callable
            As of :func:`~.search.least_finish`.
        given : Timing or None
            A programme with the loads in the order given, to begin with.
        """
        instance, kept = self.instance, self.kept
        if given is not None:
            kept.better(given)
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
                kept.better(zoned)
                if (known := board_of(instance, zoned)) is not None:
                    boards.append(known)
        if board is not None and given is None:
            kept.better(board.timing())
        if board is not None and not self.whole:
            kept.raise_bound(BOUND_SHARE)
        if kept.proved:
            return
        for timing in starts():
            # Few, and known to be good: their ways are followed however little time is left.
            kept.know(timing, goes(self.instance, timing))
            kept.better(timing)
            if (known := board_of(instance, timing)) is not None:
                boards.append(known)
        if board is not None:
            boards += self._begun(board, paces)
        if not boards:
            return
        held = min(boards, key=value_of)
        clock = self.clock.share(self._share()) if self.whole else self.clock
        if kept.best is None and not self._find_ways(held, clock):
            return
        if len(instance.moves) < MANY_MOVES or instance.join is not None:
            self._rebuild(held, clock)
        else:
            self._improve(held, clock)

    def _share(self) -> float:
        """Of the time left, for making a programme better in parts before the whole model."""
        kept = self.kept
        if self.instance.several is None or kept.best is None:
            return SHARE
        late = value(self.instance, kept.best)[0] > kept.late_bound
        return LATE_SHARE if self.instance.due and late else SHARE

    def _find_ways(self, board: Board, clock: Clock) -> bool:
        """Place loads again until hoists that share a track find ways; whether they do."""
        rng, kept = Random(self.clock.seed), self.kept
        for _ in range(MANY_VAIN):
            other = None if clock.over else rebuilt(board, rng)
            if other is not None:
                kept.better(other.timing())
            if kept.best is not None:
                return True
        return False

    def _begun(self, board: Board, paces: Callable[[], Mapping[str, Pace]]) -> list[Board]:
        """Other ways to place the loads that are to enter."""
        instance, waiting, kept = self.instance, arrivals(self.instance), self.kept
        state = board.copy()
        for number in waiting:
            state.remove(number)
        boards = []
        if not instance.sequence and not self.clock.over:
            other = best_next(state, waiting)
            if other is not None:
                boards.append(other)
                kept.better(other.timing())
            if instance.several is not None:
                for other in in_other_orders(state, waiting):
                    boards.append(other)
                    kept.better(other.timing())
        if len(instance.moves) >= MANY_MOVES and not self.clock.over:
            found = in_stretches(state, paces(), self.clock.share(STRETCH_SHARE))
            boards += found
            for begun in found:
                kept.better(begun.timing())
        return boards

    def _rebuild(self, board: Board, clock: Clock) -> None:
        """Take loads off and place them again, until that was in vain for long."""
        again, kept = Again(board, Random(self.clock.seed)), self.kept
        orders = OFTEN * factorial(min(len(board.ways), 9))  # of few loads there are no more
        few = min(FEW_VAIN, orders)
        most = few if self.whole else MANY_VAIN if clock.left is None else None
        while not clock.over and not kept.proved and (most is None or again.vain < most):
            if again.tried():
                kept.better(again.best_board.timing())

    def _improve(self, board: Board, clock: Clock) -> None:
        """Windows of the best programme, and loads placed again, in turns."""
        rng, kept = Random(self.clock.seed), self.kept
        windows, again = Windows(self.instance, rng), Again(board, rng)
        assert kept.best is not None
        vain, most = 0, VAIN_LOOKS if self.whole else MANY_VAIN if clock.left is None else None
        while not clock.over and not kept.proved and (most is None or vain < most):
            before = value(self.instance, kept.best)
            found = windows.look(kept.best, clock)
            if value(self.instance, found) < before:
                kept.better(found)
                if (other := board_of(self.instance, found)) is not None:
                    again = Again(other, rng)
            if found != kept.best and value(self.instance, found) == before and kept.goes(found):
                kept.best = found  # as good, and perhaps another one
            for _ in range(TRIES_A_LOOK):
                if not clock.over and again.tried():
                    kept.better(again.best_board.timing())
            vain = 0 if value(self.instance, kept.best) < before else vain + 1
