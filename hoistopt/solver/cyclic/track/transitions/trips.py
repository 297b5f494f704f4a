"""Trips of the hoist: from its coming to a station from the left to its going back there."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from ..line import Line
from .crossings import EMPTY, PASSING, Crossing, Pattern, Separation


class Trip(NamedTuple):
    """What the hoist does from a crossing of the left cut to the right to the next one back.

    A trip is made longer event by event; each is a value of its own.

    Attributes
    ----------
    side : str or None
        From which side the hoist came to the station; None while it is right of it.
    ready : (int, int) or None
        Variable, and ticks after it, from which the hoist can go on; None where it came empty
        from the right, whose crossing then happens just in time for what it does next.
    busy : bool
        Whether it has begun or ended a move here since it came.
    brought : int
        The move that it has just ended here, or EMPTY.
    left : frozenset of int
        Moves of the station that cross the right cut only and are not in a trip yet.
    variable : int
        Number of the next new variable.
    crossings : tuple of Crossing
        Of the right cut, so far.
    moves : tuple of (int, int)
        Moves that begin or end here, in turn, and the variables of their starts.
    new : tuple of int
        New variables, in turn.
    least : tuple of Separation
    cost : int
        Ticks of the hoist for the trip at the least.
    """

    side: str | None
    ready: tuple[int, int] | None
    busy: bool
    brought: int
    left: frozenset[int]
    variable: int
    crossings: tuple[Crossing, ...] = ()
    moves: tuple[tuple[int, int], ...] = ()
    new: tuple[int, ...] = ()
    least: tuple[Separation, ...] = ()
    cost: int = 0


class Trips:
    """The trips that are possible at one station of a line.

    Attributes
    ----------
    outward, new : set of int
        Moves that begin here; moves that cross the right cut only.
    step : int
        Empty travel over the left cut, in ticks.
    """

    def __init__(self, line: Line, number: int) -> None:
        self.line = line
        self.station = line.stations[number]
        self.step = line.lengths[number - 1] if number else 0
        self.outward = {m for m in self.station.moves if line.source[m] == number}
        self.new = frozenset(
            m for m in self.station.moves if max(line.source[m], line.target[m]) > number
        )
        self.wait = dict(self.station.follow)
        for window in self.station.windows:
            pair = window.first, window.then
            self.wait[pair] = max(self.wait.get(pair, 0), window.low)

    def between(
        self, pattern: Pattern, right: int, left: frozenset[int], variable: int
    ) -> Iterator[Trip]:
        """Yield trips from crossing `right` of the left cut, which goes right, to the next one.

        Parameters
        ----------
        left : frozenset of int
            Moves that no earlier trip has served.
        variable : int
            Number of the first new variable.
        """
        kind = pattern[right][1]
        after = (right + 1) % len(pattern)
        end = pattern[after][1]
        start = Trip("L", (right, self.step), False, EMPTY, left, variable, cost=self.step)
        if kind == PASSING:
            passed = Crossing("R", PASSING, right, slot=right)
            start = start._replace(side=None, ready=None, crossings=(passed,), cost=0)
        elif kind != EMPTY:
            ready = right, self.line.duration[kind]
            start = start._replace(
                ready=ready, busy=True, brought=kind, moves=((kind, right),), cost=0
            )
        for trip in self.extensions(start):
            if end == PASSING:
                if trip.side is None:
                    passing = Crossing("L", PASSING, after, slot=after)
                    yield trip._replace(crossings=(*trip.crossings, passing))
            elif trip.side is None:
                continue
            elif end != EMPTY:
                yield self.lift(trip, end, after)
            elif trip.busy or trip.side == "R":  # else the hoist came for nothing
                yield self._gone_left(trip, after)

    def extensions(self, trip: Trip) -> Iterator[Trip]:
        """Yield the trip itself, and all that it can be made longer to."""
        yield trip
        v = trip.variable
        if trip.side is None:
            back = trip._replace(side="R", ready=None, busy=False, brought=EMPTY)
            empty = Crossing("L", EMPTY, -1)  # its time is set by what the hoist does next
            yield from self.extensions(back._replace(crossings=(*trip.crossings, empty)))
            for move in sorted(trip.left - self.outward):
                time = self.line.duration[move]
                brought = back._replace(ready=(v, time), busy=True, brought=move)
                yield from self.extensions(self._served(brought, "L", move))
            return
        if trip.ready is not None:
            x, time = trip.ready
            extra = self.station.leave if trip.busy else 0
            gone = Crossing("R", EMPTY, x, time + extra)
            yield from self.extensions(
                trip._replace(
                    side=None, ready=None, busy=False, brought=EMPTY,
                    crossings=(*trip.crossings, gone), cost=trip.cost + extra,
                )
            )  # fmt: skip
        for move in sorted(trip.left & self.outward):
            lifted = self.lift(trip, move, v)._replace(
                side=None, ready=None, busy=False, brought=EMPTY
            )
            taken = self._served(lifted, "R", move)
            yield from self.extensions(taken._replace(moves=lifted.moves))

    def _served(self, trip: Trip, direction: str, move: int) -> Trip:
        """Add a move over the right cut, whose start is a new variable."""
        v = trip.variable
        return trip._replace(
            left=trip.left - {move},
            variable=v + 1,
            crossings=(*trip.crossings, Crossing(direction, move, v)),
            moves=(*trip.moves, (move, v)),
            new=(*trip.new, v),
            cost=trip.cost + self.line.duration[move],
        )

    def lift(self, trip: Trip, move: int, variable: int) -> Trip:
        """Lift a load for a move that starts at a variable; the hoist is or comes here."""
        reach = self.station.reach
        moves = (*trip.moves, (move, variable))
        if trip.ready is None:
            back = Crossing("L", EMPTY, variable, -reach)
            return trip._replace(
                crossings=(*trip.crossings[:-1], back), moves=moves, cost=trip.cost + reach
            )
        x, time = trip.ready
        extra = 0 if trip.busy else reach
        if trip.brought != EMPTY:
            extra = max(extra, self.wait.get((trip.brought, move), 0) - time)
        separation = x, variable, time + extra
        return trip._replace(least=(*trip.least, separation), moves=moves, cost=trip.cost + extra)

    def _gone_left(self, trip: Trip, after: int) -> Trip:
        """Leave empty over the left cut, which is its crossing number `after`."""
        if trip.ready is None:
            back = Crossing("L", EMPTY, after, -self.step)
            return trip._replace(crossings=(*trip.crossings[:-1], back), cost=trip.cost + self.step)
        x, time = trip.ready
        extra = self.station.leave + self.step
        separation = x, after, time + extra
        return trip._replace(least=(*trip.least, separation), cost=trip.cost + extra)
