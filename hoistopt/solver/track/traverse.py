"""From one end of the track to the other, station by station."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np

from .batch import Batch, batches
from .beyond import Beyond, Known, beginning, learned
from .front import Front, incoming, outgoing
from .line import Line
from .span import SCALE, Span
from .ways import EMPTY, PASSING, Shape, Way, Ways
from .zones import NOTHING, Ints, close, minimal, put_in, tie

_AT_ONCE = 4096
"""Rows worked on at a time, so that they stay in the processor's cache."""

_BLENDS = 64
"""Of so many rows kept at a cut, one stands for many."""

NEVER = 1 << 40


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
    """

    fronts: list[list[Front]] = field(default_factory=list)
    complete: bool = False
    exact: bool = True
    ends: list[tuple[int, int, Way]] = field(default_factory=list)
    rows: int = 0
    kept: int = 0

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
        self._between = [self._least_between(cut) for cut in range(len(self.over))]
        self._rest = self._least_rest()

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
                here = [self._kept(parts[shape], span, width, found) for shape in sorted(parts)]
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

    def _served(self, front: Front, batch: Batch, rows: Ints, ways: Ints, span: Span) -> Ints:
        """Least times between variables, as a way makes them of a row."""
        old = len(front.shape)
        count = old + len(batch.before)
        times = np.full((count, count, len(rows)), NOTHING, np.int32)
        own = np.arange(count)
        times[own, own] = 0
        for i, x in enumerate(outgoing(front.shape)):
            for j, y in enumerate(incoming(front.shape)):
                if x != y:
                    apart = front.apart[i, j, rows]
                    times[y, x] = span.sooner(apart) if y > x else apart
        links = batch.direct
        for link in range(len(links.time)):
            x, y = links.start[link, ways], links.end[link, ways]
            tie(times, x, y, links.least(link, ways, span))
        each = np.arange(len(rows))
        for variable in range(old, count):
            to = np.full((variable, len(rows)), NOTHING, np.int32)
            links = batch.before[variable - old]
            for link in range(len(links.time)):
                least = links.least(link, ways, span)
                np.maximum(to, times[:variable, links.start[link, ways], each] + least, out=to)
            since = np.full((variable, len(rows)), NOTHING, np.int32)
            links = batch.after[variable - old]
            for link in range(len(links.time)):
                least = links.least(link, ways, span)
                went = times[links.end[link, ways], :variable, each].T
                np.maximum(since, went + least, out=since)
            put_in(times, variable, to, since)
        return times

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
        fine = np.flatnonzero(_possible(self._served(front, batch, rows, ways, span), span))
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
        seen = self._crossings(front, batch, rows, ways)
        first, shapes, which, known, whose = self._sorted(number, seen, beyond)
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
        times = self._served(front, batch, rows, ways, span)
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
        gaps = self._between_crossings(batch, ways, first, times, span)
        seen = np.take_along_axis(
            seen, (first[:, None] + np.arange(seen.shape[1])) % seen.shape[1], 1
        )
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
                    self._front(shape, seen[some], gaps[:, :, some], cost[some], came, span)
                )

    @staticmethod
    def _crossings(front: Front, batch: Batch, rows: Ints, ways: Ints) -> Ints:
        """Crossings of the right cut, array (rows, crossings): moves, or EMPTY."""
        found = batch.move[:, ways].T.astype(np.int16)
        passing = found == PASSING
        if passing.any():
            before = front.moves()[rows]
            slots = batch.slot[:, ways].T
            went = np.take_along_axis(before, np.maximum(slots, 0), axis=1)
            found = np.where(passing, went, found)
        return found

    def _sorted(
        self, number: int, seen: Ints, beyond: Beyond | None
    ) -> tuple[Ints, list[Shape], Ints, list[Known | None], Ints]:
        """Where rows begin, the shapes they have, and what is known of their signatures.

        Returns
        -------
        first : array (rows,)
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
        different, which = _distinct(kinds)
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
            signatures, whose = _distinct(signed)
            known = [beyond[number].get(row.tobytes()) for row in signatures]
        return first, shapes, which, known, whose

    @staticmethod
    def _between_crossings(batch: Batch, ways: Ints, first: Ints, times: Ints, span: Span) -> Ints:
        """Least times between crossings of the right cut in one turn of the cycle.

        Array (crossings, crossings, rows), beginning with crossing `first`.
        """
        count = len(batch.move)
        places = np.arange(count)[:, None] + first
        turn = (places >= count).astype(np.int32)
        places = places % count
        variable, offset = batch.variable[places, ways], batch.offset[places, ways]
        turn += batch.turn[places, ways].astype(np.int32)
        rows = np.arange(len(ways))
        found = times[variable[:, None], variable[None], rows]
        found += SCALE * (offset[None] - offset[:, None]).astype(np.int32)
        for turns in range(1, int(turn.max(initial=0)) + 1):
            on = turn[None] - turn[:, None] >= turns
            back = turn[:, None] - turn[None] >= turns
            found = np.where(on, span.later(found), np.where(back, span.sooner(found), found))
        return found

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

    @staticmethod
    def _front(shape: Shape, seen: Ints, gaps: Ints, cost: Ints, came: Ints, span: Span) -> Front:
        later, earlier = outgoing(shape), incoming(shape)
        apart = np.zeros((len(later), len(earlier), len(cost)), np.int32)
        for i, x in enumerate(later):
            for j, y in enumerate(earlier):
                if x != y:
                    apart[i, j] = span.later(gaps[y, x]) if y > x else gaps[y, x]
        passing = [place for place, (_, kind) in enumerate(shape) if kind == PASSING]
        return Front(shape, seen[:, passing], apart, cost, came)

    # -- what is kept -----------------------------------------------------------

    def _kept(self, parts: list[Front], span: Span, width: int, found: Traversal) -> Front:
        """Rows that no other row makes needless, and not too many of them."""
        front = Front.joined(parts)
        flat = front.apart.reshape(-1, len(front))
        columns = (
            [front.cost[None], flat]
            if span.low == span.high
            else [front.cost[None], *span.ends(flat)]
        )
        table = np.concatenate(columns)
        if front.ids.shape[1]:
            _, which = _distinct(front.ids)
            order = np.argsort(which, kind="stable")
            groups = np.split(order, np.flatnonzero(np.diff(which[order])) + 1)
        else:
            groups = [np.arange(len(front))]
        kept = []
        for group in groups:
            rows = group[minimal(table[:, group])]
            if len(rows) > width:
                found.exact = False
                rows = self._blended(front, rows, width, span)
            kept.append(rows)
        return front.take(np.concatenate(kept))

    @staticmethod
    def _blended(front: Front, rows: Ints, width: int, span: Span) -> Ints:
        """The cheapest rows, and the others put together."""
        rows = rows[np.argsort(front.cost[rows], kind="stable")]
        blends = max(1, width // _BLENDS)
        heads = []
        for some in np.array_split(rows[width - blends :], blends):
            head = some[0]
            low, high = span.ends(front.apart[:, :, some])
            front.apart[:, :, head] = span.below(low.min(axis=2), high.min(axis=2))
            front.cost[head] = front.cost[some].min()
            heads.append(head)
        return np.concatenate([rows[: width - blends], heads])

    # -- bounds that need no traversal --------------------------------------------

    def _least_between(self, cut: int) -> Ints:
        """Least time from a crossing to the right to the next one to the left.

        By moves; EMPTY is the last row and column.
        """
        line = self.line
        count = len(line.duration)
        found = np.zeros((count + 1, count + 1), np.int32)
        found[:count, :count] = line.gap
        found[count, count] = 2 * line.lengths[cut]
        for move in self.over[cut]:
            if line.source[move] < line.target[move]:
                end = line.target[move]
                way = line.at[end] - line.at[cut] + line.stations[end].leave
                found[move, count] = line.duration[move] + way
            else:
                begin = line.source[move]
                found[count, move] = line.at[begin] - line.at[cut] + line.stations[begin].reach
        return found

    def _least_rest(self) -> list[dict[int, int]]:
        """By cut and number of crossings each way, least time right of it, travel alone."""
        line = self.line
        found: list[dict[int, int]] = [{} for _ in self.over]
        for cut in range(len(self.over) - 1, -1, -1):
            right = sum(line.source[m] < line.target[m] for m in self.over[cut])
            left = len(self.over[cut]) - right
            station = line.stations[cut + 1].moves
            new = sum(line.duration[m] for m in station if m not in self.over[cut])
            for count in range(max(right, left, 1), len(line.duration) + 2):
                if cut + 1 < len(self.over):
                    near = range(count - len(station), count + len(station) + 1)
                    after = min((found[cut + 1].get(k, NEVER) for k in near), default=NEVER)
                else:
                    after = 0 if count <= len(station) else NEVER
                if after < NEVER:
                    empty = 2 * count - right - left
                    found[cut][count] = after + new + empty * line.lengths[cut]
        return found


def _possible(times: Ints, span: Span) -> Ints:
    """By row, whether there are such times: none has to come later than itself."""
    own = np.arange(len(times))
    return np.asarray((span.least(times[own, own]) <= 0).all(axis=0))


_FEW = 8
"""Up to so many signatures at a time, more than their least cost is looked at."""


def _distinct(rows: Ints) -> tuple[Ints, Ints]:
    """The different rows, and which of them each is."""
    if (rows == rows[0]).all():
        return rows[:1], np.zeros(len(rows), np.int64)
    different, which = np.unique(rows, axis=0, return_inverse=True)
    return different, which.reshape(-1)
