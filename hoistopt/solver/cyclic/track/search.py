"""Raise the bound along the track: refute cycle times from the shortest upward."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import log2

from ....instance import Instance
from ..incumbent import Incumbent, longest_of_interest
from ..order import Evaluate, any_better
from .bounds.completion import CompletionBounds, restricted
from .line import mirrored, track_line
from .passes import Pass, Track
from .path import order_of
from .times.span import Span

FIRST_WIDTH, WIDER = 8, 4
"""States of one key that a layer keeps: in the first pass, and so many times more in each next."""

WIDEST = 20
"""Spans are no wider than the bound divided by this."""

HALVED = 1_000_000
"""After a pass that examined more pairs of a state and a transition, the span is halved."""

MOST_KEPT = 3_000_000
"""States of all layers of a pass together, of a few hundred bytes each and load; with more it
gives up."""

MOST_TRANSITIONS = 100_000
"""Transitions in memory, of some 4 kB each; with more it gives up. Where a cycle has several loads
there may be thousands from one pattern; lines on which a pass comes to its end have far fewer."""

TRIED = 3
"""Paths through the diagram whose orders of moves are tried after a pass."""

LONGER, HALF_WIDTH = 1.5, 0.57
"""Estimate of the time for a span: `LONGER` times that of the longest so far, and times
`HALF_WIDTH` for each time that the width is halved."""


@dataclass(frozen=True)
class _Part:
    """Cycle times that are not refuted yet.

    Attributes
    ----------
    span : Span
    bounds : CompletionBounds or None
        From the last pass; for the next one, in the other direction.
    passes : int
        Passes so far.
    width : int
        States of one key that the next pass keeps.
    """

    span: Span
    bounds: CompletionBounds | None = None
    passes: int = 0
    width: int = FIRST_WIDTH

    def within(self, low: int, high: int) -> _Part:
        """Return the part from `low` to `high` ticks, with its bounds."""
        span = Span(low, high)
        if span == self.span:
            return self
        bounds = None if self.bounds is None else restricted(self.bounds, self.span, span)
        return replace(self, span=span, bounds=bounds)

    def halves(self) -> list[_Part]:
        """Return the longer half of the cycle times, and the shorter; nothing for a single one."""
        low, high = self.span.low, self.span.high
        middle = (low + high) // 2
        if low == high:
            return []
        return [self.within(middle + 1, high), self.within(low, middle)]


class TrackSearch:
    """Refutes spans of cycle times, from the shortest up to the best schedule.

    Backward and forward passes take turns over a span. Each keeps more states than the last,
    and uses the last one's completion bounds. A pass that examined much has its span halved:
    both halves begin with the bounds of the whole, and tighten them at once, as packed times
    are closer to their minima over a narrow span. The search ends when the best schedule is
    all that is left; or when an exact pass over a single cycle time is not refuted, which
    then has a schedule as far as the line can tell; or for want of memory or time.

    Parameters
    ----------
    incumbent : Incumbent
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
        Threads to use; the outcome does not depend on it.
    left : callable, optional
        Returns the seconds left, None without a limit. Spans get narrower where one would be
        expected to take longer.
    """

    def __init__(
        self,
        instance: Instance,
        incumbent: Incumbent,
        evaluate: Evaluate,
        stop: Callable[[], bool],
        between: Callable[[], None] = lambda: None,
        threads: int = 1,
        left: Callable[[], float | None] = lambda: None,
    ) -> None:
        self.instance, self.incumbent = instance, incumbent
        self.evaluate, self.stop, self.between = evaluate, stop, between
        line = track_line(instance)
        # Passes take turns, the first one backward: a forward pass over the mirrored line.
        self.tracks = Track(mirrored(line), threads), Track(line, threads)
        self.left = left
        self.longest: tuple[float, int] | None = None

    def close(self) -> None:
        """Search until the gap is closed, time is up, or memory is."""
        try:
            self._close()
        finally:
            for track in self.tracks:
                track.close()

    def _close(self) -> None:
        incumbent = self.incumbent
        widest = -(-incumbent.bound // WIDEST)
        while not self.stop():
            low, top = incumbent.bound, self._top()
            if low > top:
                return
            span = Span(low, min(top, low + self._in_time(widest) - 1))
            begun = time.perf_counter()
            if not self._refute(span):
                return
            if incumbent.bound > span.high:
                took = time.perf_counter() - begun
                self.longest = max((took, span.high - low + 1), self.longest or (0.0, 1))

    def _in_time(self, width: int) -> int:
        """Return how wide the next span may be, judged by the one that took longest."""
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

        It cannot where there are too many states to keep, or where a rule that the line leaves
        out forbids what is possible along the track.
        """
        parts = [_Part(span)]
        while parts and not self.stop():
            part = parts.pop()
            low, high = part.span.low, min(part.span.high, self._top())
            if low > high:
                return True
            more = self._run_pass(part.within(low, high))
            if more is None or len(more) != 1:
                self.between()
            if more is None:
                return False
            parts += more
        return True

    def _run_pass(self, part: _Part) -> list[_Part] | None:
        """Run the next pass over a part; return what is left of it, shorter cycle times last.

        None where another pass would not help.
        """
        track, backward = self.tracks[part.passes % 2], part.passes % 2 == 0
        found = track.run(part.span, part.width, part.bounds, self._enough)
        if not found.complete:
            return None if self._too_many else part.halves() or None
        if found.refuted:
            self.incumbent.improve(None, part.span.high + 1)
            return []
        better = self._better(track, found, backward=backward)
        # Nothing was merged, and no better schedule came of it: what forbids this cycle time, if
        # anything, lies in rules that the line leaves out.
        if found.exact and not better and part.span.low == part.span.high:
            return None
        bounds = track.completion_bounds(found, part.span)
        part = _Part(part.span, bounds, part.passes + 1, WIDER * part.width)
        return ((found.exact or found.examined > HALVED) and part.halves()) or [part]

    def _enough(self, found: Pass) -> bool:
        return found.kept * self.instance.jobs > MOST_KEPT or self._too_many or self.stop()

    @property
    def _too_many(self) -> bool:
        """Whether the transitions take too much memory, which no narrower span would change."""
        return sum(track.known for track in self.tracks) > MOST_TRANSITIONS

    def _better(self, track: Track, found: Pass, *, backward: bool) -> bool:
        """Return whether an order of moves from a pass gives a better schedule."""
        return any_better(self._orders(track, found, backward), self.evaluate, self.stop)

    def _orders(self, track: Track, found: Pass, backward: bool) -> Iterator[list[int]]:
        """Yield orders of moves of paths through the diagram, beginning as the cycle does."""
        first = self.instance.first_moves[0]
        for terminal in found.terminals[:TRIED]:
            order = order_of(track, found, terminal)
            if backward:
                # The mirrored line, in which time runs backwards.
                order.reverse()
            place = order.index(first)
            yield order[place:] + order[:place]

    def _top(self) -> int:
        """Return the longest cycle time still of interest, in ticks."""
        return longest_of_interest(self.instance, self.incumbent)
