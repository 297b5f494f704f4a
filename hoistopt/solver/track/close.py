"""Close the gap between bound and best schedule along the track."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import log2

from ...instance import Instance
from ..closing import Evaluate, any_better, longest_of_interest
from ..standing import Standing
from .beyond import Beyond, narrowed
from .line import reversed_line, track_line
from .span import Span
from .trace import order_of
from .traverse import Track, Traversal

FIRST_WIDTH, WIDER = 8, 4
"""Rows of a signature that are kept apart: at first, and times so many each time."""

FIRST_EFFORT, HARDER = 1_000_000, 3
"""Rows to look at before a span of cycle times is made smaller, and then times so many."""

WIDEST = 20
"""Spans are no wider than this part of a cycle time."""

MOST_KEPT = 3_000_000
"""Rows kept at all cuts together, a few hundred bytes each."""

TRIED = 3
"""Orders of moves tried after every traversal."""

LONGER, HALF_WIDTH = 1.8, 0.57
"""A span takes so many times as long as the one before, one half as wide so much of it."""

FINEST = 100
"""Spans are made no finer than this part of a cycle time before more effort is made."""


@dataclass(frozen=True)
class _Open:
    """A span that more effort is needed for, what is known, and which traversal is next."""

    span: Span
    known: Beyond | None
    turn: int
    width: int


class Following:
    """Refutes spans of cycle times, from the shortest up to the best schedule.

    A span is traversed from one end of the track and from the other in turn, each time
    with more rows kept apart and with what the last traversal has found out. It ends when
    nothing is left, or when nothing had to be put together: then what is left is possible.

    Parameters
    ----------
    standing : Standing
        Where the search stands; improved in place.
    evaluate : callable
        Gives an order of moves its least cycle time and keeps the schedule if it is the
        best; None where the order has none better.
    stop : callable
        Whether time is up.
    between : callable, optional
        Called after every span, to look for better schedules in other ways.
    threads : int
        The outcome is the same however many, but for the time it takes.
    left : callable, optional
        Seconds left, None without limit: no span is begun that would take longer.
    """

    def __init__(
        self,
        instance: Instance,
        standing: Standing,
        evaluate: Evaluate,
        stop: Callable[[], bool],
        between: Callable[[], None] = lambda: None,
        threads: int = 1,
        left: Callable[[], float | None] = lambda: None,
    ) -> None:
        self.instance, self.standing = instance, standing
        self.evaluate, self.stop, self.between = evaluate, stop, between
        line = track_line(instance)
        self.tracks = Track(line, threads), Track(reversed_line(line), threads)
        self.effort = FIRST_EFFORT
        self.open: list[_Open] = []
        self.easy = False
        self.left = left
        self.longest: tuple[float, int] | None = None

    def close(self) -> None:
        """Go on until the gap is closed, time is up, or more would not fit into memory."""
        try:
            self._close()
        finally:
            for track in self.tracks:
                track.close()

    def _close(self) -> None:
        standing = self.standing
        width = widest = -(-standing.bound // WIDEST)
        while not self.stop():
            low, top = standing.bound, self._top()
            if low > top:
                return
            high = min(top, low + self._in_time(width) - 1)
            outcome = self._timed(low, high)
            self.between()
            if outcome == "refuted":
                standing.hear(None, high + 1)
                width = min(widest, 2 * width) if self.easy else width
            elif outcome == "full" or (outcome == "possible" and low == high):
                # Too much to keep, or a rule that the line leaves out forbids it.
                return
            elif outcome == "possible" or FINEST * (high - low) > high:
                width = max(1, (high - low + 1) // 2)
            else:
                self.effort *= HARDER

    def _timed(self, low: int, high: int) -> str:
        begun = time.perf_counter()
        outcome = self._refute(low, high)
        if outcome == "refuted":
            took = time.perf_counter() - begun
            self.longest = max((took, high - low + 1), self.longest or (0.0, 1))
        return outcome

    def _in_time(self, width: int) -> int:
        """How wide the next span may be, judged by the one that took longest."""
        left = self.left()
        if left is None or self.longest is None:
            return width
        took, wide = self.longest
        expected = LONGER * took * HALF_WIDTH ** log2(wide / width)
        while expected > left and width > 1:
            width, expected = (width + 1) // 2, HALF_WIDTH * expected
        return width

    def _refute(self, low: int, high: int) -> str:
        """Whether cycle times are "refuted", "possible", "better" ones found, or neither."""
        span, rows = Span(low, high), 0
        begun = self._begun(span)
        known, turn, width = begun.known, begun.turn, begun.width
        while True:
            track = self.tracks[turn % 2]
            found = track.traverse(span, width, known, self._enough)
            if not found.complete:
                return "full" if found.overfull or found.kept > MOST_KEPT else "open"
            if found.refuted:
                self.easy = begun.known is None and 3 * rows < self.effort
                return "refuted"
            rows += found.rows
            if self._better(track, found, backwards=turn % 2 == 1):
                if self._top() < high:
                    return "better"
            elif found.exact:
                return "possible"
            known, turn = track.learned(found, span), turn + 1
            if rows > self.effort:
                self.open.append(_Open(span, known, turn, width))
                return "open"
            width *= WIDER

    def _begun(self, span: Span) -> _Open:
        """The furthest that a span around this one was looked into."""
        self.open = [one for one in self.open if one.span.high >= span.low]
        around = [one for one in self.open if one.span.covers(span)]
        if not around:
            return _Open(span, None, 0, FIRST_WIDTH)
        best = max(around, key=lambda one: (one.width, -one.span.high))
        assert best.known is not None
        return replace(best, span=span, known=narrowed(best.known, best.span, span))

    def _enough(self, traversal: Traversal) -> bool:
        return traversal.kept > MOST_KEPT or self.stop()

    def _better(self, track: Track, found: Traversal, *, backwards: bool) -> bool:
        """Whether an order of moves that the traversal leads to gives a better schedule."""
        return any_better(self._orders(track, found, backwards), self.evaluate, self.stop)

    def _orders(self, track: Track, found: Traversal, backwards: bool) -> Iterator[list[int]]:
        """Orders that a traversal leads to, beginning as the cycle does."""
        first = self.instance.first_moves[0]
        for end in found.ends[:TRIED]:
            order = order_of(track, found, end)
            if backwards:
                order.reverse()
            place = order.index(first)
            yield order[place:] + order[:place]

    def _top(self) -> int:
        """The longest cycle time still of interest."""
        return longest_of_interest(self.instance, self.standing)
