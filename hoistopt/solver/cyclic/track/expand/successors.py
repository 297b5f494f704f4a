"""How transitions cross the next cut: patterns, state keys and bounds of what comes of them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from ..bounds.aligned import AlignedBounds, aligned, no_bounds
from ..bounds.completion import CutBound, StateKey, key_start
from ..bounds.travel import NEVER, return_times
from ..layers.distinct import distinct_rows
from ..layers.states import StateTable, separated_pairs
from ..line import Line
from ..times.span import SCALE, Ints, Span
from ..transitions.batch import Batch
from ..transitions.crossings import EMPTY, PASSING, Pattern


class NextCut(NamedTuple):
    """The right cut as compiled loops see it, by case.

    A case is a set of passing moves together with a transition of a batch; case
    ``p * transitions + t`` is set p with transition t.

    Attributes
    ----------
    seen : array (cases, crossings)
        Crossings in turn, the first to the right: moves, or EMPTY.
    first : array (cases,)
        Which crossing of the transition comes first there.
    variable, offset, height : array (cases, crossings)
        As in :class:`~..transitions.crossings.Crossing`, offsets as packed times.
    load : array (cases,)
        Ticks of the moves that cross to the right.
    between : array (cases, crossings / 2)
        Minimum time from each crossing to the right to the one after it, packed.
    known : array (cases,)
        Which of the kinds in `AlignedBounds`; -1 where there is no bound.
    rest : array (cases,)
        Minimum ticks of the hoist on the right.
    """

    seen: Ints
    first: Ints
    variable: Ints
    offset: Ints
    height: Ints
    load: Ints
    between: Ints
    known: Ints
    rest: Ints


@dataclass(frozen=True)
class Successors:
    """Where the transitions of a batch lead to from states with some sets of passing moves.

    Attributes
    ----------
    patterns : list of Pattern
    pattern_of : array (cases,)
    keys : list of StateKey
    key_of : array (cases,)
    key_start : array (cases,)
        With which of the crossings the key begins.
    cut : NextCut
        Without completion bounds.
    """

    patterns: list[Pattern]
    pattern_of: Ints
    keys: list[StateKey]
    key_of: Ints
    key_start: Ints
    cut: NextCut

    def bounded(
        self, bound: CutBound | None, rest: int, span: Span
    ) -> tuple[NextCut, AlignedBounds]:
        """Return the next cut with completion bounds.

        Parameters
        ----------
        bound : CutBound or None
        rest : int
            Where there is no bound: minimum ticks of the hoist on the right.
        """
        crossings = self.cut.seen.shape[1]
        if bound is None:
            rests = np.full(len(self.key_of), rest, np.int64)
            return self.cut._replace(rest=rests), no_bounds(crossings)
        places = np.array([bound.number.get(key, -1) for key in self.keys])
        least = np.append(bound.steps.rest[bound.steps.begin[:-1]], NEVER)[places]
        kinds, which = distinct_rows(np.stack([places[self.key_of], self.key_start], axis=1))
        found = aligned(bound.steps, kinds, crossings, span.low, span.high)
        return self.cut._replace(known=which, rest=least[self.key_of]), found

    def states(self, case: Ints, separation: Ints, cost: Ints, parent: Ints) -> list[StateTable]:
        """Return states by pattern, as they come from :func:`~.kernel.expand`."""
        which, found = self.pattern_of[case], []
        order = np.argsort(which, kind="stable")
        ends = np.append(np.flatnonzero(np.diff(which[order])) + 1, len(order)).tolist()
        begin = 0
        for end in ends:
            some, begin = order[begin:end], end
            pattern = self.patterns[which[some[0]]]
            places = [place for place, (_, kind) in enumerate(pattern) if kind == PASSING]
            passing = self.cut.seen[case[some]][:, places]
            own = separation[some, : len(separated_pairs(pattern))]
            found.append(StateTable(pattern, passing, own, cost[some], parent[some]))
        return found


@lru_cache(maxsize=256)
def no_cut(transitions: int) -> NextCut:
    """Return what is on the right of the last station: nothing."""
    none = np.zeros(transitions, np.int64)
    empty = np.zeros((transitions, 0), np.int32)
    seen = empty.astype(np.int16)
    return NextCut(seen, none, empty, empty, empty, none, empty, none - 1, none)


class Cut:
    """A cut of a line, on the right of a station.

    Attributes
    ----------
    over, ends : list of int
        Moves carried over it, and those of them that begin or end at the next station.
    """

    def __init__(self, line: Line, number: int) -> None:
        self.line = line
        self.over = line.crossing(number)
        self.ends = [m for m in self.over if m in line.stations[number + 1].moves]
        self.loads = np.array([*line.duration, 0], np.int64)
        self.between = SCALE * return_times(line, number)

    def successors(self, batch: Batch, before: Ints) -> Successors:
        """Cross the cut by the transitions of a batch.

        Parameters
        ----------
        before : array (passing, crossings)
            By set of passing moves, crossings of the cut on the left of the station: moves, or
            EMPTY.
        """
        seen = np.repeat(batch.move[None], len(before), axis=0)
        _, transition, place = passing = np.nonzero(seen == PASSING)
        seen[passing] = before[passing[0], batch.slot[transition, place]]
        return self._sorted(batch, seen.reshape(-1, seen.shape[2]).astype(np.int16))

    def _sorted(self, batch: Batch, seen: Ints) -> Successors:
        """Turn crossings so that those of one pattern begin alike, and tell patterns apart."""
        line, ends, count = self.line, self.ends, seen.shape[1]
        anchor = min(ends) if ends else min(self.over)
        first = (seen == anchor).argmax(axis=1)
        if line.source[anchor] > line.target[anchor]:
            first = (first - 1) % count  # a crossing to the right comes first
        turned = _turned(seen, first)
        kinds = np.where(turned == EMPTY, EMPTY, np.where(np.isin(turned, ends), turned, PASSING))
        different, which = distinct_rows(kinds)
        start = key_start(line, self.over, turned)
        keys, key_of = distinct_rows(_turned(turned, start))
        nothing = np.full(len(seen), -1)
        variable, offset, height = (
            _turned(np.tile(each, (len(seen) // len(each), 1)), first).astype(np.int32)
            for each in (batch.variable, SCALE * batch.offset, batch.height)
        )
        height += np.arange(count) + first[:, None] >= count
        cut = NextCut(
            seen=turned,
            first=first,
            variable=variable,
            offset=offset,
            height=height,
            load=self.loads[turned[:, 0::2]].sum(axis=1),
            between=np.ascontiguousarray(self.between[turned[:, 0::2], turned[:, 1::2]]),
            known=nothing,
            rest=nothing,
        )
        patterns = [
            tuple((("R", "L")[place % 2], int(kind)) for place, kind in enumerate(row))
            for row in different
        ]
        return Successors(
            patterns, which, [row.tobytes() for row in keys], key_of, start % count, cut
        )


def _turned(seen: Ints, first: Ints) -> Ints:
    """Return rows turned round, each to begin with its given column."""
    count = seen.shape[1]
    rows = np.arange(len(seen))[:, None]
    return seen[rows, (first[:, None] + np.arange(count)) % count]
