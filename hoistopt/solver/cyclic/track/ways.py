"""How the hoist can serve a station, given how it crosses the cut on the station's left."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from .line import FAR, Line

EMPTY, PASSING = -1, -2
"""Kinds of crossings besides the moves that begin or end at the next station."""

Shape = tuple[tuple[str, int], ...]
"""Crossings of a cut round the cycle: "R" or "L" in turn, and EMPTY, PASSING or a move."""

Link = tuple[int, int, int]
"""From one variable to the next occurrence of another: so much time."""


@dataclass(frozen=True)
class Crossing:
    """A crossing of the cut on the right of a station.

    Attributes
    ----------
    way : str
        "R" to the right, "L" to the left.
    move : int
        EMPTY, or PASSING for a load that passed the left cut before.
    variable, offset, turn : int
        When it happens: so long after a variable, `turn` cycles on.
    slot : int
        For PASSING: which crossing of the left cut it is.
    """

    way: str
    move: int
    variable: int
    offset: int = 0
    turn: int = 0
    slot: int = -1


@dataclass(frozen=True)
class Way:
    """One way to serve a station.

    Variables are times: those of the left cut's crossings, numbered as they are in the
    shape, then the starts of moves that begin or end here and cross the right cut only.
    The time of a load's crossing is the start of its move, that of an empty one when the
    hoist leaves what is left of the cut, or is back there.

    Attributes
    ----------
    crossings : tuple of Crossing
        Of the right cut, round the cycle.
    order : tuple of int
        All variables round the cycle, beginning with the first crossing of the left cut.
    least, most : tuple of Link
        Least, and greatest, times between variables.
    cost : int
        Time of the hoist that this way takes at the least, whatever else it does.
    served : tuple of tuple of int
        For every crossing of the left cut to the right: what comes before the hoist goes
        back over it. Moves, and EMPTY for empty crossings of the right cut.
    """

    crossings: tuple[Crossing, ...]
    order: tuple[int, ...]
    least: tuple[Link, ...]
    most: tuple[Link, ...]
    cost: int
    served: tuple[tuple[int, ...], ...]


@dataclass(frozen=True)
class _Trip:
    """What the hoist does from one crossing of the left cut to the next one back.

    Attributes
    ----------
    came : str or None
        From which side it came to the station, None while it is right of it.
    ready : (int, int) or None
        Variable, and time after it, from which it can go on; None where it came empty
        from the right and is in no hurry.
    busy : bool
        Whether it has served a move since it came.
    brought : int
        The move it has just ended here, or EMPTY.
    left : frozenset of int
        Moves yet to be served.
    """

    came: str | None
    ready: tuple[int, int] | None
    busy: bool
    brought: int
    left: frozenset[int]
    variable: int
    items: tuple[Crossing, ...] = ()
    moves: tuple[tuple[int, int], ...] = ()
    new: tuple[int, ...] = ()
    least: tuple[Link, ...] = ()
    cost: int = 0


class Ways:
    """The ways to serve one station of a line."""

    def __init__(self, line: Line, number: int) -> None:
        self.line = line
        self.station = line.stations[number]
        self.step = line.lengths[number - 1] if number else 0
        self.outward = {m for m in self.station.moves if line.source[m] == number}
        self.new = frozenset(
            m for m in self.station.moves if max(line.source[m], line.target[m]) > number
        )
        self.wait = dict(self.station.apart)
        for window in self.station.windows:
            pair = window.first, window.then
            self.wait[pair] = max(self.wait.get(pair, 0), window.low)

    def after(self, shape: Shape) -> list[Way]:
        """All ways, given the crossings of the left cut."""
        found: list[Way] = []
        rights = [place for place, (way, _) in enumerate(shape) if way == "R"]
        known: dict[tuple[int, frozenset[int]], list[_Trip]] = {}

        def go(trips: tuple[_Trip, ...], left: frozenset[int]) -> None:
            if len(trips) < len(rights):
                right = rights[len(trips)]
                if (right, left) not in known:
                    variable = len(shape) + len(self.new) - len(left)
                    known[right, left] = list(self._trips(shape, right, left, variable))
                for trip in known[right, left]:
                    go((*trips, trip), trip.left)
            elif not left:
                way = self._joined(shape, dict(zip(rights, trips, strict=True)))
                if way is not None:
                    found.append(way)

        go((), self.new)
        return found

    def first(self) -> list[Way]:
        """All ways of the first station, which has no cut on its left."""
        begin, *others = self.station.moves
        out = begin in self.outward
        time = self.line.duration[begin]
        start = _Trip(
            came=None if out else "R",
            ready=None if out else (0, time),
            busy=not out,
            brought=EMPTY if out else begin,
            left=frozenset(others),
            variable=1,
            items=(Crossing("R" if out else "L", begin, 0),),
            moves=((begin, 0),),
            cost=time,
        )
        found = []
        for trip in self._longer(start):
            if trip.left or (trip.came is None) == out:
                continue
            closed = self._lift(trip, begin, 0) if out else trip
            moves = tuple(dict(closed.moves).items())
            *items, last = closed.items
            if (last.way, last.move, last.variable) == ("L", EMPTY, 0):
                last = replace(last, turn=1)
            served = (tuple(crossing.move for crossing in closed.items),)
            way = self._orderly(
                (*items, last), (0, *closed.new), closed.least, moves, closed.cost, served
            )
            if way is not None:
                found.append(way)
        return found

    # -- one trip ---------------------------------------------------------------

    def _trips(
        self, shape: Shape, right: int, left: frozenset[int], variable: int
    ) -> Iterator[_Trip]:
        """Trips that begin with crossing number `right` and end with the one after it."""
        kind = shape[right][1]
        after = (right + 1) % len(shape)
        end = shape[after][1]
        start = _Trip("L", (right, self.step), False, EMPTY, left, variable, cost=self.step)
        if kind == PASSING:
            passed = Crossing("R", PASSING, right, slot=right)
            start = replace(start, came=None, ready=None, items=(passed,), cost=0)
        elif kind != EMPTY:
            ready = right, self.line.duration[kind]
            start = replace(
                start, ready=ready, busy=True, brought=kind, moves=((kind, right),), cost=0
            )
        for trip in self._longer(start):
            if end == PASSING:
                if trip.came is None:
                    passing = Crossing("L", PASSING, after, slot=after)
                    yield replace(trip, items=(*trip.items, passing))
            elif trip.came is None:
                continue
            elif end != EMPTY:
                yield self._lift(trip, end, after)
            elif trip.busy or trip.came == "R":  # or it would have come for nothing
                yield self._gone_left(trip, after)

    def _longer(self, trip: _Trip) -> Iterator[_Trip]:
        """The trip itself, and every way to go on with it."""
        yield trip
        v = trip.variable
        if trip.came is None:
            back = replace(trip, came="R", ready=None, busy=False, brought=EMPTY)
            yield from self._longer(replace(back, items=(*trip.items, Crossing("L", EMPTY, -1))))
            for move in sorted(trip.left - self.outward):
                time = self.line.duration[move]
                brought = replace(back, ready=(v, time), busy=True, brought=move)
                yield from self._longer(self._served(brought, "L", move))
            return
        if trip.ready is not None:
            x, time = trip.ready
            extra = self.station.leave if trip.busy else 0
            gone = Crossing("R", EMPTY, x, time + extra)
            yield from self._longer(
                replace(
                    trip, came=None, ready=None, busy=False, brought=EMPTY,
                    items=(*trip.items, gone), cost=trip.cost + extra,
                )
            )  # fmt: skip
        for move in sorted(trip.left & self.outward):
            lifted = replace(
                self._lift(trip, move, v), came=None, ready=None, busy=False, brought=EMPTY
            )
            taken = self._served(lifted, "R", move)
            yield from self._longer(replace(taken, moves=lifted.moves))

    def _served(self, trip: _Trip, way: str, move: int) -> _Trip:
        """A move over the right cut, whose start is a new variable."""
        v = trip.variable
        return replace(
            trip,
            left=trip.left - {move},
            variable=v + 1,
            items=(*trip.items, Crossing(way, move, v)),
            moves=(*trip.moves, (move, v)),
            new=(*trip.new, v),
            cost=trip.cost + self.line.duration[move],
        )

    def _lift(self, trip: _Trip, move: int, variable: int) -> _Trip:
        """Lift a load where the hoist stands."""
        reach = self.station.reach
        moves = (*trip.moves, (move, variable))
        if trip.ready is None:
            back = Crossing("L", EMPTY, variable, -reach)
            return replace(
                trip, items=(*trip.items[:-1], back), moves=moves, cost=trip.cost + reach
            )
        x, time = trip.ready
        extra = 0 if trip.busy else reach
        if trip.brought != EMPTY:
            extra = max(extra, self.wait.get((trip.brought, move), 0) - time)
        link = x, variable, time + extra
        return replace(trip, least=(*trip.least, link), moves=moves, cost=trip.cost + extra)

    def _gone_left(self, trip: _Trip, after: int) -> _Trip:
        """Leave empty over the left cut, by its crossing number `after`."""
        if trip.ready is None:
            back = Crossing("L", EMPTY, after, -self.step)
            return replace(trip, items=(*trip.items[:-1], back), cost=trip.cost + self.step)
        x, time = trip.ready
        extra = self.station.leave + self.step
        link = x, after, time + extra
        return replace(trip, least=(*trip.least, link), cost=trip.cost + extra)

    # -- all trips together -----------------------------------------------------

    def _joined(self, shape: Shape, trips: dict[int, _Trip]) -> Way | None:
        """The way made of a trip for each crossing to the right."""
        order: list[int] = []
        items: list[Crossing] = []
        moves: list[tuple[int, int]] = []
        for place in range(len(shape)):
            order.append(place)
            if place in trips:
                order += trips[place].new
                items += trips[place].items
                moves += trips[place].moves
        return self._orderly(
            tuple(items),
            tuple(order),
            tuple(link for trip in trips.values() for link in trip.least),
            tuple(moves),
            sum(trip.cost for trip in trips.values()),
            tuple(
                tuple(crossing.move for crossing in trip.items if crossing.move != PASSING)
                for trip in trips.values()
            ),
        )

    def _orderly(
        self,
        items: tuple[Crossing, ...],
        order: tuple[int, ...],
        least: tuple[Link, ...],
        moves: tuple[tuple[int, int], ...],
        cost: int,
        served: tuple[tuple[int, ...], ...],
    ) -> Way | None:
        """A way, unless a rule of the station forbids its order of moves."""
        round_ = [move for move, _ in moves]
        pairs = list(zip(round_, [*round_[1:], round_[0]], strict=True)) if round_ else []
        if any(self._forbidden(a, b) for a, b in pairs) or not self._enter_in_order(round_):
            return None
        at = dict(moves)
        windows = self.station.windows
        rules = [(at[w.first], at[w.then], w.low) for w in windows]
        rules += [
            (at[a], at[b], self.station.apart[a, b])
            for a, b in pairs
            if a != b and (a, b) in self.station.apart
        ]
        limits = tuple((at[w.first], at[w.then], w.high) for w in windows if w.high < FAR)
        return Way(items, order, (*least, *rules), limits, cost, served)

    def _forbidden(self, a: int, b: int) -> bool:
        """Whether move b cannot be the next here after move a."""
        here = self.station
        if a in here.partner:
            return here.partner[a] != b
        if here.turns:
            return (a in here.turns) == (b in here.turns)
        return False

    def _enter_in_order(self, round_: list[int]) -> bool:
        """Whether loads to be told apart by number alone enter in the order of numbers."""
        for group in self.line.entering:
            places = [round_.index(move) for move in group if move in round_]
            if len(places) > 2:
                first = places.index(min(places))
                if places[first:] + places[:first] != sorted(places):
                    return False
        return True
