"""From one end of the track to the other, station by station."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np

from .batch import Batch, batches
from .beyond import Beyond, Known, beginning, learned
from .front import Front, front_of, kept
from .least import NEVER, least_between, least_rest
from .line import Line
from .serve import between_crossings, crossings, served
from .span import MOST_TURNS, SCALE, Span
from .ways import EMPTY, PASSING, Shape, Way, Ways
from .zones import Ints, close, distinct

_AT_ONCE = 4096
"""Rows worked on at a time, so that they stay in the processor's cache."""


@dataclass
class Traversal:
    """What a traversal came to.

    Attributes
    ----------
    fronts : list of list of Front
        By cut, from the left.
    complete : bool
        Whether it got to its end, unless nothing was left before.
    exact : bool
        Whether no rows were blended.
    ends : list of (int, int, Way)
        Front, row and way at the last station, of those that are possible.
    rows, kept : int
        How many were looked at, and how many kept.
    overfull : bool
        Whether it gave up, as more times depend on one another than numbers are made for.
    """

    fronts: list[list[Front]] = field(default_factory=list)
    complete: bool = False
    exact: bool = True
    ends: list[tuple[int, int, Way]] = field(default_factory=list)
    rows: int = 0
    kept: int = 0
    overfull: bool = False

    @property
    def refuted(self) -> bool:
        """Whether there is no schedule."""
        return self.complete and not self.ends


class Track:
    """A line, to be traversed from the left; `ways` are worked out once."""

    def __init__(self, line: Line) -> None:
        self.line = line
        self.stations = [Ways(line, number) for number in range(len(line.stations))]
        self.over = [line.crossing(cut) for cut in range(len(line.lengths))]
        self.loads = np.array([*line.duration, 0], np.int64)
        self._ways: list[dict[Shape, list[Way]]] = [{} for _ in self.stations]
        self._batches: list[dict[Shape, list[Batch]]] = [{} for _ in self.stations]
        self._between = [least_between(line, cut) for cut in range(len(self.over))]
        self._rest = least_rest(line)

    def ways(self, number: int, shape: Shape) -> list[Way]:
        """All ways to serve a station."""
        known = self._ways[number]
        if shape not in known:
            station = self.stations[number]
            known[shape] = station.after(shape) if number else station.first()
        return known[shape]

    def learned(self, traversal: Traversal, span: Span) -> Beyond:
        """What a traversal for these cycle times says to one in the other direction."""
        return learned(self.line, traversal.fronts, self.over, span)

    def traverse(
        self,
        span: Span,
        width: int,
        beyond: Beyond | None = None,
        stop: Callable[[Traversal], bool] = lambda traversal: False,
    ) -> Traversal:
        """All ways to serve station after station in one of the cycle times of a span.

        Parameters
        ----------
        width : int
            Keep so many rows of each signature apart; more are blended into one that
            allows what any of them does.
        beyond : Beyond, optional
            From a traversal in the other direction for the same cycle times, or more.
        stop : callable
            Asked now and then whether to give up.
        """
        found = Traversal()
        nothing = Front(
            (),
            np.zeros((1, 0), np.int16),
            np.zeros((0, 0, 1), np.int32),
            np.zeros(1, np.int64),
            np.zeros((1, 4), np.int64),
        )
        here = [nothing]
        last = len(self.stations) - 1
        for number in range(last + 1):
            parts: dict[Shape, list[Front]] = {}
            for index, front in enumerate(here):
                for batch in self._batches_of(number, front.shape):
                    for rows, ways in self._pairs(number, front, batch, span, beyond):
                        if max(len(front.shape) + len(batch.before), len(batch.move)) > MOST_TURNS:
                            found.overfull = True
                            return found
                        found.rows += len(rows)
                        if number == last:
                            self._end(found, index, front, batch, rows, ways, span)
                        else:
                            self._serve(
                                number, index, front, batch, rows, ways, span, beyond, parts
                            )
                        if stop(found):
                            return found
            if number < last:
                here = []
                for shape in sorted(parts):
                    some, exact = kept(parts[shape], span, width)
                    here.append(some)
                    found.exact &= exact
                found.fronts.append(here)
                found.kept += sum(map(len, here))
            if not here:
                break
        found.complete = True
        return found

    # -- one station ------------------------------------------------------------

    def _batches_of(self, number: int, shape: Shape) -> list[Batch]:
        known = self._batches[number]
        if shape not in known:
            last = number == len(self.stations) - 1
            ways = self.ways(number, shape)
            known[shape] = [
                batch for batch in batches(ways, len(shape)) if (len(batch.move) == 0) == last
            ]
        return known[shape]

    def _pairs(
        self, number: int, front: Front, batch: Batch, span: Span, beyond: Beyond | None
    ) -> Iterator[tuple[Ints, Ints]]:
        """Rows and ways that may go together, by cost."""
        cost = front.cost[:, None] + batch.cost[None, :]
        fits = cost <= span.high
        if number < len(self.over) and beyond is None:
            rest = self._rest[number].get(len(batch.move) // 2, NEVER)
            fits = cost + rest <= span.high
        rows, ways = np.nonzero(fits)
        for first in range(0, len(rows), _AT_ONCE):
            yield rows[first : first + _AT_ONCE], ways[first : first + _AT_ONCE]

    def _end(
        self,
        found: Traversal,
        index: int,
        front: Front,
        batch: Batch,
        rows: Ints,
        ways: Ints,
        span: Span,
    ) -> None:
        """The last station."""
        fine = np.flatnonzero(_possible(served(front, batch, rows, ways, span), span))
        cost = front.cost[rows[fine]] + batch.cost[ways[fine]]
        known = self.ways(len(self.stations) - 1, front.shape)
        for place in fine[np.argsort(cost, kind="stable")][:20]:
            way = known[int(batch.numbers[ways[place]])]
            found.ends.append((index, int(rows[place]), way))

    def _serve(
        self,
        number: int,
        index: int,
        front: Front,
        batch: Batch,
        rows: Ints,
        ways: Ints,
        span: Span,
        beyond: Beyond | None,
        parts: dict[Shape, list[Front]],
    ) -> None:
        """Serve a station in the given ways, and put what is possible into `parts`."""
        seen = crossings(front, batch, rows, ways)
        first, seen, shapes, which, known, whose = self._sorted(number, seen, beyond)
        cost = front.cost[rows] + batch.cost[ways]
        if known:
            rest = np.array([NEVER if one is None else int(one.rest[0]) for one in known])[whose]
            keep = cost + rest <= span.high
            if not keep.all():
                rows, ways, seen, first = rows[keep], ways[keep], seen[keep], first[keep]
                cost, which, whose, rest = cost[keep], which[keep], whose[keep], rest[keep]
        else:
            rest = np.full(len(rows), self._rest[number][seen.shape[1] // 2])
        if not len(rows):
            return
        times = served(front, batch, rows, ways, span)
        fine = _possible(times, span)
        if not fine.any():
            return
        if not fine.all():
            rows, ways, seen, first, times = (
                rows[fine],
                ways[fine],
                seen[fine],
                first[fine],
                times[:, :, fine],
            )
            cost, which, whose, rest = cost[fine], which[fine], whose[fine], rest[fine]
        gaps = between_crossings(batch, ways, first, times, span)
        self._look_beyond(number, seen, gaps, known, whose, span.high - cost, span)
        cost = np.maximum(cost, self._spent(seen, gaps, span))
        fine = _possible(gaps, span) & (cost + rest <= span.high)
        for number_, shape in enumerate(shapes):
            some = np.flatnonzero(fine & (which == number_))
            if len(some):
                came = np.stack(
                    [np.full(len(some), index), rows[some], batch.numbers[ways[some]], first[some]],
                    axis=1,
                )
                parts.setdefault(shape, []).append(
                    front_of(shape, seen[some], gaps[:, :, some], cost[some], came, span)
                )

    def _sorted(
        self, number: int, seen: Ints, beyond: Beyond | None
    ) -> tuple[Ints, Ints, list[Shape], Ints, list[Known | None], Ints]:
        """Where rows begin, the shapes they have, and what is known of their signatures.

        Returns
        -------
        first : array (rows,)
        turned : array (rows, crossings)
            Crossings, beginning there.
        shapes : list of Shape
        which : array (rows,)
            The shape of each.
        known : list
        whose : array (rows,)
            What is known of each; nothing where `known` is empty.
        """
        line, over = self.line, self.over[number]
        count = seen.shape[1]
        ends = [m for m in over if m in line.stations[number + 1].moves]
        anchor = min(ends) if ends else min(over)
        first = (seen == anchor).argmax(axis=1)
        if line.source[anchor] > line.target[anchor]:
            first = (first - 1) % count  # a crossing to the right comes first
        turned = np.take_along_axis(seen, (first[:, None] + np.arange(count)) % count, axis=1)
        kinds = np.where(turned == EMPTY, EMPTY, np.where(np.isin(turned, ends), turned, PASSING))
        different, which = distinct(kinds)
        way = ("R", "L")
        shapes: list[Shape] = [
            tuple((way[place % 2], int(kind)) for place, kind in enumerate(row))
            for row in different
        ]
        known: list[Known | None] = []
        whose = np.zeros(len(seen), np.int64)
        if beyond is not None:
            start = beginning(line, over, turned)
            signed = np.take_along_axis(turned, (start[:, None] + np.arange(count)) % count, axis=1)
            signatures, whose = distinct(signed)
            known = [beyond[number].get(row.tobytes()) for row in signatures]
        return first, turned, shapes, which, known, whose

    def _look_beyond(
        self,
        number: int,
        seen: Ints,
        gaps: Ints,
        known: list[Known | None],
        whose: Ints,
        left: Ints,
        span: Span,
    ) -> None:
        """Add what must happen on the right of the cut; `left` is the time left for it."""
        count = len(gaps)
        between = self._between[number]
        for x in range(0, count, 2):
            y = (x + 1) % count
            least = SCALE * between[seen[:, x], seen[:, y]]
            np.maximum(gaps[x, y], span.sooner(least) if x > y else least, out=gaps[x, y])
        if 0 < len(known) <= _FEW:
            for which, one in enumerate(known):
                some = np.flatnonzero(whose == which)
                if one is not None and len(some):
                    more = self._turned(number, seen[some[0]], one.within(left[some]), span)
                    if len(some) == len(seen):
                        np.maximum(gaps, more, out=gaps)
                    else:
                        gaps[:, :, some] = np.maximum(gaps[:, :, some], more)
        close(gaps)

    def _turned(self, number: int, seen: Ints, gaps: Ints, span: Span) -> Ints:
        """Least gaps of a signature as least times in one turn of the cycle of a row."""
        count = len(seen)
        start = int(beginning(self.line, self.over[number], seen[None])[0])
        place = (np.arange(count) - start) % count
        turned = gaps[np.ix_(place, place)]
        around = np.arange(count)[:, None] > np.arange(count)[None]
        turned[around] = span.sooner(turned[around])
        return turned

    def _spent(self, seen: Ints, gaps: Ints, span: Span) -> Ints:
        """Least time on the left of the cut."""
        count = len(gaps)
        spent = np.zeros(len(seen), np.int64)
        for x in range(1, count, 2):
            y = (x + 1) % count
            spent += span.least(span.later(gaps[x, y]) if x > y else gaps[x, y])
        rightward = seen[:, 0::2]
        return spent + self.loads[rightward].sum(axis=1)


def _possible(times: Ints, span: Span) -> Ints:
    """By row, whether there are such times: none has to come later than itself."""
    own = np.arange(len(times))
    return np.asarray((span.least(times[own, own]) <= 0).all(axis=0))


_FEW = 8
"""Up to so many signatures at a time, more than their least cost is looked at."""
