"""Times and crossings that come of serving a station, many rows and ways at once."""

from __future__ import annotations

import numpy as np

from .batch import Batch
from .front import Front, incoming, outgoing
from .span import SCALE, Span
from .ways import PASSING
from .zones import NOTHING, Ints, put_in, tie


def served(front: Front, batch: Batch, rows: Ints, ways: Ints, span: Span) -> Ints:
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


def crossings(front: Front, batch: Batch, rows: Ints, ways: Ints) -> Ints:
    """Crossings of the right cut, array (rows, crossings): moves, or EMPTY."""
    found = batch.move[:, ways].T.astype(np.int16)
    passing = found == PASSING
    if passing.any():
        before = front.moves()[rows]
        slots = batch.slot[:, ways].T
        went = np.take_along_axis(before, np.maximum(slots, 0), axis=1)
        found = np.where(passing, went, found)
    return found


def between_crossings(batch: Batch, ways: Ints, first: Ints, times: Ints, span: Span) -> Ints:
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
