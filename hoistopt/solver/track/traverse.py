"""From one end of the track to the other, station by station."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from itertools import islice
from typing import TypeVar

import numpy as np

from .arrays import Rows
from .batch import Batch, batches
from .beyond import Beyond, learned
from .cut import NOTHING_KNOWN, Crossed, Cut, nowhere
from .front import Front, kept, moves, pairs
from .least import NEVER, least_rest
from .line import Line
from .serve import serve
from .span import MOST_TURNS, Span
from .ways import Shape, Way, Ways
from .zones import Ints, distinct

_AT_ONCE = 1 << 15
"""Rows and ways that a thread works on at a time."""

_AHEAD = 4
"""So many times as many for each thread, before it is asked whether to stop."""

_Item = TypeVar("_Item")
_Made = TypeVar("_Made")


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
    """A line, to be traversed from the left; `ways` are worked out once.

    Most of the work is done in `threads` threads, with the same outcome however many.
    """

    def __init__(self, line: Line, threads: int = 1) -> None:
        self.line, self.threads = line, threads
        self._pool = ThreadPoolExecutor(threads) if threads > 1 else None
        self.stations = [Ways(line, number) for number in range(len(line.stations))]
        self.cuts = [Cut(line, cut) for cut in range(len(line.lengths))]
        self._ways: list[dict[Shape, list[Way]]] = [{} for _ in self.stations]
        self._batches: list[dict[Shape, list[Batch]]] = [{} for _ in self.stations]
        self._passing: list[dict[Shape, dict[bytes, int]]] = [{} for _ in self.stations]
        self._crossed: list[dict[tuple[Shape, int], Crossed]] = [{} for _ in self.stations]
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
        return learned(self.line, traversal.fronts, [cut.over for cut in self.cuts], span)

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
            np.zeros((1, 0), np.int32),
            np.zeros(1, np.int64),
            np.zeros((1, 4), np.int64),
        )
        here = [nothing]
        last = len(self.stations) - 1
        for number in range(last + 1):
            parts: dict[Shape, list[Front]] = {}
            for index, front in enumerate(here):
                for part in range(len(self._batches_of(number, front.shape))):
                    for fronts in self._served(found, number, index, front, part, span, beyond):
                        for served in fronts:
                            parts.setdefault(served.shape, []).append(served)
                        if stop(found):
                            return found
                    if found.overfull:
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

    def close(self) -> None:
        """End its threads."""
        if self._pool is not None:
            self._pool.shutdown()

    def _in_threads(
        self, make: Callable[[_Item], _Made], items: Iterable[_Item]
    ) -> Iterator[_Made]:
        """What is made of each item, in their order; no more than a few are begun ahead."""
        if self._pool is None:
            yield from map(make, items)
            return
        left = iter(items)
        while some := list(islice(left, _AHEAD * self.threads)):
            yield from self._pool.map(make, some)

    # -- one station ------------------------------------------------------------

    def _batches_of(self, number: int, shape: Shape) -> list[Batch]:
        known = self._batches[number]
        if shape not in known:
            last = number == len(self.stations) - 1
            ways = self.ways(number, shape)
            known[shape] = [
                batch for batch in batches(ways, len(shape)) if (batch.move.shape[1] == 0) == last
            ]
        return known[shape]

    def _served(
        self,
        found: Traversal,
        number: int,
        index: int,
        front: Front,
        part: int,
        span: Span,
        beyond: Beyond | None,
    ) -> Iterator[list[Front]]:
        """Serve a station in the ways of a batch: some of what is possible at a time.

        At the last station that is nothing, and the ways are put among the ends.
        """
        batch = self._batches_of(number, front.shape)[part]
        links, crossings = batch.links, batch.move.shape[1]
        last = number == len(self.cuts)
        floor = 0
        if not last and beyond is None:
            floor = self._rest[number].get(crossings // 2, NEVER)
        if front.cost.min() + links.cost.min() + floor > span.high:
            return
        if max(links.variables, crossings) > MOST_TURNS:
            found.overfull = True
            return
        steps = beyond[number].steps if beyond is not None and not last else NOTHING_KNOWN
        if last:
            passing, right = np.zeros(len(front), np.int64), nowhere(len(links.cost))
        else:
            passing, crossed = self._crossed_by(number, front, part)
            right = crossed.knowing(beyond[number] if beyond is not None else None, floor)
        start, end = np.array(pairs(front.shape), np.int64).reshape(-1, 2).T.copy()
        rows = Rows(front.apart, front.cost, passing, start, end)
        ways = len(links.cost)
        many = max(1, _AT_ONCE // ways)

        def some(begin: int) -> tuple[int, Ints, Ints, Ints, Ints]:
            end = min(begin + many, len(front))
            return serve(rows, begin, end, links, right, steps, floor, span.low, span.high)

        for looked, row, case, cost, apart in self._in_threads(some, range(0, len(front), many)):
            found.rows += looked
            way = batch.numbers[case % ways]
            if last:
                known = self.ways(number, front.shape)
                for one in np.argsort(cost, kind="stable")[:_ENDS]:
                    found.ends.append((index, int(row[one]), known[way[one]]))
                yield []
            else:
                came = np.stack([np.full(len(row), index), row, way, right.first[case]], axis=1)
                yield crossed.fronts(case, apart, cost, came)

    def _crossed_by(self, number: int, front: Front, part: int) -> tuple[Ints, Crossed]:
        """How the ways of a batch cross the next cut, and which passing moves each row has."""
        shape = front.shape
        batch = self._batches_of(number, shape)[part]
        different, which = distinct(front.ids)
        known = self._passing[number].setdefault(shape, {})
        places = np.array([known.setdefault(ids.tobytes(), len(known)) for ids in different])
        crossed = self._crossed[number].get((shape, part))
        if crossed is None or len(crossed.which) < len(known) * len(batch.numbers):
            ids = np.array([np.frombuffer(one, different.dtype) for one in known])
            crossed = self.cuts[number].crossed(batch, moves(shape, ids))
            self._crossed[number][shape, part] = crossed
        return places[which], crossed


_ENDS = 20
"""So many of the cheapest ends are kept at a time."""
