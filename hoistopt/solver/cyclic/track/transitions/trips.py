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

    def extensions(self, trip: Trip) -> list[Trip]:
        """Return the trip itself, and all that it can be made longer to."""
        found: list[Trip] = []
        self._extend(trip, found)
        return found

    def _extend(self, trip: Trip, found: list[Trip]) -> None:
        """Add the trip, and all that it can be made longer to, to those found."""
        found.append(trip)
        side, ready, busy, _, left, v, crossings, moves, new, least, cost = trip
        # Of the longer trips all fields are given in turn: to replace some took twice as long.
        if side is None:
            empty = Crossing("L", EMPTY, -1)  # its time is set by what the hoist does next
            self._extend(
                Trip(
                    "R", None, False, EMPTY, left, v, (*crossings, empty), moves, new, least, cost
                ),
                found,
            )
            for move in sorted(left - self.outward):
                time = self.line.duration[move]
                brought = Crossing("L", move, v)
                self._extend(
                    Trip(
                        "R", (v, time), True, move, left - {move}, v + 1, (*crossings, brought),
                        (*moves, (move, v)), (*new, v), least, cost + time,
                    ),
                    found,
                )  # fmt: skip
            return
        if ready is not None:
            x, time = ready
            extra = self.station.leave if busy else 0
            gone = Crossing("R", EMPTY, x, time + extra)
            self._extend(
                Trip(
                    None, None, False, EMPTY, left, v, (*crossings, gone), moves, new, least,
                    cost + extra,
                ),
                found,
            )  # fmt: skip
        for move in sorted(left & self.outward):
            lifted = self.lift(trip, move, v)
            taken = Crossing("R", move, v)
            self._extend(
                Trip(
                    None, None, False, EMPTY, left - {move}, v + 1, (*lifted.crossings, taken),
                    lifted.moves, (*new, v), lifted.least, lifted.cost + self.line.duration[move],
                ),
                found,
            )  # fmt: skip

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
