"""How the hoist crosses a cut: crossings put in order, and told apart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .arrays import Facing, Right
from .batch import Batch
from .beyond import Known, Signature, beginning
from .facing import nothing_known, turned
from .front import Front, pairs
from .least import NEVER, least_between
from .line import Line
from .span import SCALE, Span
from .ways import EMPTY, PASSING, Shape
from .zones import Ints, distinct


@dataclass(frozen=True)
class Crossed:
    """What the ways of a batch make of rows with certain passing moves.

    Attributes
    ----------
    shapes : list of Shape
    which : array (passing * ways,)
        The shape of each.
    signatures : list of Signature
    whose : array (passing * ways,)
        The signature of each.
    start : array (passing * ways,)
        With which of its crossings that begins.
    right : Right
        With nothing known of what lies beyond.
    """

    shapes: list[Shape]
    which: Ints
    signatures: list[Signature]
    whose: Ints
    start: Ints
    right: Right

    def knowing(self, known: Known | None, rest: int, span: Span) -> tuple[Right, Facing]:
        """The same with what is known of the far side; otherwise it takes at least `rest`."""
        crossings = self.right.seen.shape[1]
        if known is None:
            rests = np.full(len(self.whose), rest, np.int64)
            return self.right._replace(rest=rests), nothing_known(crossings)
        places = np.array([known.number.get(one, -1) for one in self.signatures])
        least = np.append(known.steps.rest[known.steps.begin[:-1]], NEVER)[places]
        kinds, which = distinct(np.stack([places[self.whose], self.start], axis=1))
        facing = turned(known.steps, kinds, crossings, span.low, span.high)
        return self.right._replace(known=which, rest=least[self.whose]), facing

    def fronts(self, case: Ints, apart: Ints, cost: Ints, came: Ints) -> list[Front]:
        """Rows by shape, as they come from :func:`~.serve.serve`."""
        which, found = self.which[case], []
        for number, shape in enumerate(self.shapes):
            some = np.flatnonzero(which == number)
            if len(some):
                passing = [place for place, (_, kind) in enumerate(shape) if kind == PASSING]
                ids = self.right.seen[case[some]][:, passing]
                own = apart[some, : len(pairs(shape))]
                found.append(Front(shape, ids, own, cost[some], came[some]))
        return found


def nowhere(ways: int) -> Right:
    """What is on the right of the last station: nothing."""
    none = np.zeros(ways, np.int64)
    empty = np.zeros((ways, 0), np.int32)
    seen = empty.astype(np.int16)
    return Right(seen, none, empty, empty, empty, none, empty, none - 1, none)


class Cut:
    """A cut of a line, on the right of a station."""

    def __init__(self, line: Line, number: int) -> None:
        self.line = line
        self.over = line.crossing(number)
        self.ends = [m for m in self.over if m in line.stations[number + 1].moves]
        self.loads = np.array([*line.duration, 0], np.int64)
        self.between = SCALE * least_between(line, number)

    def crossed(self, batch: Batch, before: Ints) -> Crossed:
        """Cross it in the ways of a batch.

        Parameters
        ----------
        before : array (passing, crossings)
            Crossings of the cut on the left of the station, moves or EMPTY.
        """
        seen = np.repeat(batch.move[None], len(before), axis=0)
        _, way, place = passing = np.nonzero(seen == PASSING)
        seen[passing] = before[passing[0], batch.slot[way, place]]
        return self._sorted(batch, seen.reshape(-1, seen.shape[2]).astype(np.int16))

    def _sorted(self, batch: Batch, seen: Ints) -> Crossed:
        line, ends, count = self.line, self.ends, seen.shape[1]
        anchor = min(ends) if ends else min(self.over)
        first = (seen == anchor).argmax(axis=1)
        if line.source[anchor] > line.target[anchor]:
            first = (first - 1) % count  # a crossing to the right comes first
        turned = _turned(seen, first)
        kinds = np.where(turned == EMPTY, EMPTY, np.where(np.isin(turned, ends), turned, PASSING))
        different, which = distinct(kinds)
        start = beginning(line, self.over, turned)
        signatures, whose = distinct(_turned(turned, start))
        nothing = np.full(len(seen), -1)
        variable, offset, turn = (
            _turned(np.tile(each, (len(seen) // len(each), 1)), first).astype(np.int32)
            for each in (batch.variable, SCALE * batch.offset, batch.turn)
        )
        turn += np.arange(count) + first[:, None] >= count
        right = Right(
            seen=turned,
            first=first,
            variable=variable,
            offset=offset,
            turn=turn,
            load=self.loads[turned[:, 0::2]].sum(axis=1),
            between=np.ascontiguousarray(self.between[turned[:, 0::2], turned[:, 1::2]]),
            known=nothing,
            rest=nothing,
        )
        shapes = [
            tuple((("R", "L")[place % 2], int(kind)) for place, kind in enumerate(row))
            for row in different
        ]
        return Crossed(
            shapes, which, [row.tobytes() for row in signatures], whose, start % count, right
        )


def _turned(seen: Ints, first: Ints) -> Ints:
    """Crossings, beginning with the first."""
    count = seen.shape[1]
    return np.take_along_axis(seen, (first[:, None] + np.arange(count)) % count, axis=1)
