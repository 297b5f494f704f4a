"""Find all transitions: every way to serve a station between two cuts."""

from __future__ import annotations

from itertools import pairwise

from ..line import FAR, Line
from .crossings import EMPTY, PASSING, Crossing, Pattern, Separation, Transition
from .trips import Trip, Trips


class TransitionFinder:
    """Finds the transitions of one station of a line.

    A transition is a trip of the hoist for each crossing of the left cut to the right. All
    combinations of trips are looked at that together serve each move of the station once.
    """

    def __init__(self, line: Line, number: int) -> None:
        self.line = line
        self.station = line.stations[number]
        self.trips = Trips(line, number)

    def after(self, pattern: Pattern) -> list[Transition]:
        """Return all transitions from states with a pattern of crossings of the left cut."""
        found: list[Transition] = []
        rights = [place for place, (direction, _) in enumerate(pattern) if direction == "R"]
        # Which trips are possible hangs on where they begin and on the moves that are left, not on
        # which trips came before: they are worked out once.
        known: dict[tuple[int, frozenset[int]], list[Trip]] = {}

        def possible(right: int, left: frozenset[int]) -> list[Trip]:
            """Trips from a crossing on, of which each can be part of a transition."""
            if (right, left) not in known:
                # New variables are numbered on from those of the moves that are served already.
                variable = len(pattern) + len(self.trips.new) - len(left)
                known[right, left] = [
                    trip
                    for trip in self.trips.between(pattern, right, left, variable)
                    # The last trip has to take all that is left.
                    if not (trip.left and right == rights[-1]) and self._in_order(trip)
                ]
            return known[right, left]

        # Depth first, a trip for each crossing to the right. `last` is the move served last, after
        # which some moves cannot be the next one here.
        def go(trips: tuple[Trip, ...], left: frozenset[int], last: int | None) -> None:
            if len(trips) < len(rights):
                for trip in possible(rights[len(trips)], left):
                    if not trip.moves:
                        go((*trips, trip), trip.left, last)
                    elif last is None or not self._forbidden(last, trip.moves[0][0]):
                        go((*trips, trip), trip.left, trip.moves[-1][0])
            elif not left:
                transition = self._joined(pattern, dict(zip(rights, trips, strict=True)))
                if transition is not None:
                    found.append(transition)

        go((), self.trips.new, None)
        return found

    def first(self) -> list[Transition]:
        """Return all transitions of the first station, which has no cut on its left.

        The cycle is counted from the start of one of its moves, which is variable 0.
        """
        begin, *others = self.station.moves
        out = begin in self.trips.outward
        time = self.line.duration[begin]
        start = Trip(
            side=None if out else "R",
            ready=None if out else (0, time),
            busy=not out,
            brought=EMPTY if out else begin,
            left=frozenset(others),
            variable=1,
            crossings=(Crossing("R" if out else "L", begin, 0),),
            moves=((begin, 0),),
            cost=time,
        )
        found = []
        for trip in self.trips.extensions(start):
            if trip.left or (trip.side is None) == out:
                continue
            closed = self.trips.lift(trip, begin, 0) if out else trip
            moves = tuple(dict(closed.moves).items())
            *crossings, last = closed.crossings
            if (last.direction, last.move, last.variable) == ("L", EMPTY, 0):
                last = last._replace(height=1)
            served = (tuple(crossing.move for crossing in closed.crossings),)
            if self._allowed(moves):
                found.append(
                    self._transition(
                        (*crossings, last),
                        (0, *closed.new),
                        closed.least,
                        moves,
                        closed.cost,
                        served,
                    )
                )
        return found

    def _joined(self, pattern: Pattern, trips: dict[int, Trip]) -> Transition | None:
        """Return the transition of a trip for each crossing to the right, or None if forbidden.

        `trips` are by place in the pattern, from the first on.
        """
        moves = tuple([move for trip in trips.values() for move in trip.moves])
        # Within a trip, and from one to the next, nothing is forbidden; from last to first may be.
        if moves and self._forbidden(moves[-1][0], moves[0][0]):
            return None
        if not self._enters_in_order([move for move, _ in moves]):
            return None
        # New variables of a trip lie between its crossing to the right and the one back.
        order: list[int] = []
        for place in range(len(pattern)):
            order.append(place)
            if place in trips:
                order += trips[place].new
        return self._transition(
            tuple([crossing for trip in trips.values() for crossing in trip.crossings]),
            tuple(order),
            tuple([separation for trip in trips.values() for separation in trip.least]),
            moves,
            sum([trip.cost for trip in trips.values()]),
            tuple(
                [
                    tuple(
                        [crossing.move for crossing in trip.crossings if crossing.move != PASSING]
                    )
                    for trip in trips.values()
                ]
            ),
        )

    def _allowed(self, moves: tuple[tuple[int, int], ...]) -> bool:
        """Return whether no rule of the station forbids the order of its moves.

        Parameters
        ----------
        moves : tuple of (int, int)
            All moves that begin or end here, in turn, and the variables of their starts.
        """
        round_ = [move for move, _ in moves]
        for a, b in _pairs(round_):
            if self._forbidden(a, b):
                return False
        return self._enters_in_order(round_)

    def _transition(
        self,
        crossings: tuple[Crossing, ...],
        order: tuple[int, ...],
        least: tuple[Separation, ...],
        moves: tuple[tuple[int, int], ...],
        cost: int,
        served: tuple[tuple[int, ...], ...],
    ) -> Transition:
        """Return a transition whose moves are in an order that is allowed."""
        at = dict(moves)
        windows = self.station.windows
        rules = [(at[w.first], at[w.then], w.low) for w in windows]
        rules += [
            (at[a], at[b], self.station.follow[a, b])
            for a, b in _pairs([move for move, _ in moves])
            if a != b and (a, b) in self.station.follow
        ]
        limits = tuple((at[w.first], at[w.then], w.high) for w in windows if w.high < FAR)
        return Transition(crossings, order, (*least, *rules), limits, cost, served)

    def _in_order(self, trip: Trip) -> bool:
        """Return whether no rule of the station forbids the order of the moves of a trip."""
        return not any(self._forbidden(a, b) for (a, _), (b, _) in pairwise(trip.moves))

    def _forbidden(self, a: int, b: int) -> bool:
        """Return whether move b cannot be the next move here after move a."""
        here = self.station
        if a in here.partner:
            return here.partner[a] != b
        if here.bringing:
            return (a in here.bringing) == (b in here.bringing)
        return False

    def _enters_in_order(self, round_: list[int]) -> bool:
        """Return whether alike loads enter in the order of their numbers, as a convention."""
        for group in self.line.entering:
            places = [round_.index(move) for move in group if move in round_]
            if len(places) > 2:
                first = places.index(min(places))
                if places[first:] + places[:first] != sorted(places):
                    return False
        return True


def _pairs(round_: list[int]) -> zip[tuple[int, int]]:
    """Return each move with the next one, the last with the first."""
    return zip(round_, [*round_[1:], *round_[:1]], strict=True)
