"""From one end of the track to the other, station by station."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np

from .arrays import Facing, Right, Rows
from .batch import Batch, batches
from .beyond import Beyond, learned
from .cut import Crossed, Cut, nowhere
from .facing import nothing_known
from .front import Front, kept, moves, pairs
from .least import NEVER, least_rest
from .line import Line
from .serve import serve
from .span import MOST_TURNS, Span
from .threads import Threads
from .ways import Shape, Way, Ways
from .zones import Ints, distinct

_AT_ONCE = 1 << 15
"""Rows and ways that a thread works on at a time."""

_ENDS = 20
"""So many of the cheapest ends are kept at a time."""


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


@dataclass(frozen=True)
class _Job:
    """Some rows of a front, to be served in the ways of a batch.

    `crossed` tells how these cross the next cut; None at the last station.
    """

    index: int
    rows: Rows
    begin: int
    end: int
    batch: Batch
    crossed: Crossed | None
    right: Right
    facing: Facing
    floor: int

    def done(self, span: Span) -> tuple[int, Ints, Ints, Ints, Ints]:
        """As :func:`~.serve.serve` tells."""
        return serve(
            self.rows, self.begin, self.end, self.batch.links, self.right, self.facing,
            self.floor, span.low, span.high,
        )  # fmt: skip


class Track:
    """A line, to be traversed from the left; `ways` are worked out once.

    Most of the work is done in `threads` threads, with the same outcome however many.
    """

    def __init__(self, line: Line, threads: int = 1) -> None:
        self.line = line
        self._threads = Threads(threads)
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
        for number in range(len(self.stations)):
            parts: dict[Shape, list[Front]] = {}
            jobs = self._jobs(found, number, here, span, beyond)
            for job, (looked, row, case, cost, apart) in self._threads.each(
                lambda job: job.done(span), jobs
            ):
                found.rows += looked
                if job.crossed is None:
                    self._end(found, job, here[job.index].shape, row, case, cost)
                else:
                    for front in _fronts(job, job.crossed, row, case, cost, apart):
                        parts.setdefault(front.shape, []).append(front)
                if stop(found):
                    return found
            if found.overfull:
                return found
            if number == len(self.cuts):
                break
            here = []
            shapes = [parts[shape] for shape in sorted(parts)]
            for _, (some, exact) in self._threads.each(lambda x: kept(x, span, width), shapes):
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
        self._threads.close()

    # -- one station ------------------------------------------------------------

    def _batches_of(self, number: int, shape: Shape) -> list[Batch]:
        known = self._batches[number]
        if shape not in known:
            last = number == len(self.cuts)
            ways = self.ways(number, shape)
            known[shape] = [
                batch for batch in batches(ways, len(shape)) if (batch.move.shape[1] == 0) == last
            ]
        return known[shape]

    def _jobs(
        self,
        found: Traversal,
        number: int,
        fronts: list[Front],
        span: Span,
        beyond: Beyond | None,
    ) -> Iterator[_Job]:
        """What is to be done at a station: all fronts in the ways of all batches."""
        known = beyond[number] if beyond is not None and number < len(self.cuts) else None
        for index, front in enumerate(fronts):
            for part, batch in enumerate(self._batches_of(number, front.shape)):
                links, crossings = batch.links, batch.move.shape[1]
                floor = 0
                if crossings and beyond is None:
                    floor = self._rest[number].get(crossings // 2, NEVER)
                if front.cost.min() + links.cost.min() + floor > span.high:
                    continue
                if max(links.variables, crossings) > MOST_TURNS:
                    found.overfull = True
                    return
                passing, crossed = np.zeros(len(front), np.int64), None
                right, facing = nowhere(len(links.cost)), nothing_known(0)
                if crossings:
                    passing, crossed = self._crossed_by(number, front, part)
                    right, facing = crossed.knowing(known, floor, span)
                start, end = np.array(pairs(front.shape), np.int64).reshape(-1, 2).T.copy()
                rows = Rows(front.apart, front.cost, passing, start, end)
                many = max(1, _AT_ONCE // len(links.cost))
                for begin in range(0, len(front), many):
                    yield _Job(
                        index, rows, begin, min(begin + many, len(front)), batch, crossed,
                        right, facing, floor,
                    )  # fmt: skip

    def _end(
        self,
        found: Traversal,
        job: _Job,
        shape: Shape,
        row: Ints,
        case: Ints,
        cost: Ints,
    ) -> None:
        """Put what is possible at the last station among the ends."""
        ways = self.ways(len(self.cuts), shape)
        for one in np.argsort(cost, kind="stable")[:_ENDS]:
            way = ways[job.batch.numbers[case[one]]]
            found.ends.append((job.index, int(row[one]), way))

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


def _fronts(
    job: _Job, crossed: Crossed, row: Ints, case: Ints, cost: Ints, apart: Ints
) -> list[Front]:
    """What is possible at a station, at the cut on its right."""
    way = job.batch.numbers[case % len(job.batch.numbers)]
    came = np.stack([np.full(len(row), job.index), row, way, crossed.right.first[case]], axis=1)
    return crossed.fronts(case, apart, cost, came)
