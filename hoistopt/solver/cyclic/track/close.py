"""Close the gap between bound and best schedule along the track."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import log2

from ....instance import Instance
from ..closing import Evaluate, any_better, longest_of_interest
from ..standing import Standing
from .beyond import Beyond, narrowed
from .line import reversed_line, track_line
from .span import Span
from .trace import order_of
from .traverse import Track, Traversal

FIRST_WIDTH, WIDER = 8, 4
"""Rows of a signature that are kept apart: at first, and times so many each time."""

WIDEST = 20
"""Spans are no wider than this part of a cycle time."""

HALVED = 1_000_000
"""After a look at more rows a span is halved."""

MOST_KEPT = 3_000_000
"""Rows kept at all cuts together, a few hundred bytes each."""

TRIED = 3
"""Orders of moves tried after every traversal."""

LONGER, HALF_WIDTH = 1.5, 0.57
"""A span takes so many times as long as the one before, one half as wide so much of it."""


@dataclass(frozen=True)
class _Part:
    """A span, what is known of it, which traversal is next, and rows to keep apart in it."""

    span: Span
    known: Beyond | None = None
    turn: int = 0
    width: int = FIRST_WIDTH

    def within(self, low: int, high: int) -> _Part:
        """Less of the span."""
        span = Span(low, high)
        if span == self.span:
            return self
        known = None if self.known is None else narrowed(self.known, self.span, span)
        return replace(self, span=span, known=known)

    def halves(self) -> list[_Part]:
        """The longer half of the cycle times, and the shorter; none of a single one."""
        low, high = self.span.low, self.span.high
        middle = (low + high) // 2
        if low == high:
            return []
        return [self.within(middle + 1, high), self.within(low, middle)]


class Following:
    """Refutes spans of cycle times, from the shortest up to the best schedule.

    A span is traversed from one end of the track and from the other in turn, each time
    with more rows kept apart and with what the last traversal has found out. Where there is
    much to look at, it is halved: both halves begin with what is known of the whole, and
    know more of themselves at once, as all times are closer to what they are at one cycle
    time. It ends when nothing is left, or when nothing had to be put together in a single
    cycle time: then what is left is possible.

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
        Called where a span is done with or halved, to look for better schedules in other
        ways.
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
        self.tracks = Track(reversed_line(line), threads), Track(line, threads)
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
        widest = -(-standing.bound // WIDEST)
        while not self.stop():
            low, top = standing.bound, self._top()
            if low > top:
                return
            span = Span(low, min(top, low + self._in_time(widest) - 1))
            begun = time.perf_counter()
            if not self._refute(span):
                return
            if standing.bound > span.high:
                took = time.perf_counter() - begun
                self.longest = max((took, span.high - low + 1), self.longest or (0.0, 1))

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

    def _refute(self, span: Span) -> bool:
        """Refute the cycle times of a span that are of interest; False if it cannot go on.

        That is where there is too much to keep, or a rule that the line leaves out forbids
        what is possible along the track.
        """
        parts = [_Part(span)]
        while parts and not self.stop():
            part = parts.pop()
            low, high = part.span.low, min(part.span.high, self._top())
            if low > high:
                return True
            more = self._look_into(part.within(low, high))
            if more is None or len(more) != 1:
                self.between()
            if more is None:
                return False
            parts += more
        return True

    def _look_into(self, part: _Part) -> list[_Part] | None:
        """Traverse the track; what is left to look into, shorter cycle times last, or None."""
        track, backwards = self.tracks[part.turn % 2], part.turn % 2 == 0
        found = track.traverse(part.span, part.width, part.known, self._enough)
        if not found.complete:
            return part.halves() or None
        if found.refuted:
            self.standing.hear(None, part.span.high + 1)
            return []
        better = self._better(track, found, backwards=backwards)
        if found.exact and not better and part.span.low == part.span.high:
            return None
        known = track.learned(found, part.span)
        part = _Part(part.span, known, part.turn + 1, WIDER * part.width)
        return ((found.exact or found.rows > HALVED) and part.halves()) or [part]

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
