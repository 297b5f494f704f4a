"""Loads whose times are fixed, and what they leave free for another."""

from __future__ import annotations

from bisect import bisect_left, insort
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

from ....instance import Route
from ....instance.finite import EndStation, FiniteInstance, FiniteLoad
from ...model.constraints.several import apart
from ..times import Timing
from .ends import lag_between
from .room import EVER, Cell, Stand, cells, room
from .spans import Spans, merged


class Made(NamedTuple):
    """A move with its time."""

    start: int
    end: int
    source: int
    target: int
    move: int
    route: Route


class Event(NamedTuple):
    """A move lifts a carrier at an end of the line, or sets one down there."""

    time: int
    move: int
    lifts: bool


class Board:
    """The moves of the loads placed so far.

    Parameters
    ----------
    instance : FiniteInstance
    joined : int, optional
        When the cycle is joined, where the programme ends in one.
    """

    def __init__(self, instance: FiniteInstance, joined: int | None = None) -> None:
        self.instance = instance
        self.joined = joined
        self.made: list[Made] = []
        self.ways: dict[int, list[tuple[int, Route]]] = {}
        self.stands: dict[int, list[Stand]] = {}
        self.events: dict[int, list[list[Event]]] = {
            end.place: [[] for _ in end.ready] for end in instance.ends
        }
        self.taken: dict[int, tuple[int, int]] = {}
        self._reach = instance.reach
        self._longest = max(
            (route.duration for move in instance.moves for route in move.routes), default=0
        )
        for place, left in instance.resting.items():
            self.stands[place] = [Stand(-EVER, time, -1) for time in left]
        for number, load in enumerate(instance.loads):
            if load.place is not None:  # until it is placed, nobody knows when it leaves
                self.stands.setdefault(load.place, []).append(Stand(load.came, EVER, number))
        self._promised()

    def _promised(self) -> None:
        """Put what is promised, its events at the ends of the line in their order of time."""
        instance, events = self.instance, []
        for number, load in enumerate(instance.loads):
            if not instance.is_promised(load):
                continue
            routes = (instance.moves[move].routes[0] for move in load.moves)
            starts = (instance.promised[move] for move in load.moves)
            way = list(zip(starts, routes, strict=True))
            self._take(number, way)
            events += self._events_of(load, way)
        for end, event in sorted(events, key=lambda one: one[1].time):
            try:
                slot = self._slot(end, event)
            except ValueError:  # whole ticks may leave less room than there is
                slot = 0
            self.events[end.place][slot].append(event)

    def copy(self) -> Board:
        """A board that changes by itself."""
        other = object.__new__(Board)
        other.__dict__.update(self.__dict__)
        other.made, other.ways, other.taken = list(self.made), dict(self.ways), dict(self.taken)
        other.stands = {place: list(stands) for place, stands in self.stands.items()}
        other.events = {
            place: [list(slot) for slot in slots] for place, slots in self.events.items()
        }
        return other

    # -- putting loads on it and taking them off --------------------------------------

    def put(self, number: int, way: list[tuple[int, Route]]) -> None:
        """Fix the times of a load: start and route of each of its moves.

        Raises
        ------
        ValueError
            When no place at an end of the line is free for it.
        """
        self._take(number, way)
        for end, event in self._events_of(self.instance.loads[number], way):
            self.events[end.place][self._slot(end, event)].append(event)

    def _take(self, number: int, way: list[tuple[int, Route]]) -> None:
        """Fix the times of a load, but for the ends of the line."""
        instance, load = self.instance, self.instance.loads[number]
        self.ways[number] = way
        for move, (start, route) in zip(load.moves, way, strict=True):
            over = start + route.duration
            insort(self.made, Made(start, over, route.source, route.target, move, route))
        if load.place is not None:
            self.stands[load.place].remove(Stand(load.came, EVER, number))
            self.stands[load.place].append(Stand(load.came, way[0][0], number))
        for (start, route), (leaves, _) in pairwise(way):
            stand = Stand(start + route.duration, leaves, number, instance.early(route))
            self.stands.setdefault(route.target, []).append(stand)
        stock = instance.carriers
        if stock is not None:
            last_start, last = way[-1]
            back = last_start + last.duration + stock.behind[last.target]
            taken = way[0][0] - stock.ahead[way[0][1].source] if load.enters else -EVER
            self.taken[number] = (taken, back)

    def remove(self, number: int) -> None:
        """Take a load off again."""
        load = self.instance.loads[number]
        moves = set(load.moves)
        self.made = [made for made in self.made if made.move not in moves]
        for place, stands in self.stands.items():
            self.stands[place] = [stand for stand in stands if stand.load != number]
        if load.place is not None:
            self.stands[load.place].append(Stand(load.came, EVER, number))
        for place, slots in self.events.items():
            self.events[place] = [[e for e in slot if e.move not in moves] for slot in slots]
        self.taken.pop(number, None)
        del self.ways[number]

    def _events_of(
        self, load: FiniteLoad, way: list[tuple[int, Route]]
    ) -> list[tuple[EndStation, Event]]:
        found = []
        start, first = way[0]
        if load.enters and (end := self.instance.end_at.get(first.source)) is not None:
            found.append((end, Event(start, load.moves[0], True)))
        start, last = way[-1]
        if (end := self.instance.end_at.get(last.target)) is not None:
            found.append((end, Event(start + last.duration, load.moves[-1], False)))
        return found

    def _slot(self, end: EndStation, event: Event) -> int:
        """The place at an end of the line that an event goes to, the one free the longest."""
        for slot in range(len(end.ready)):
            forbidden = self._forbidden(end, slot, event.move, event.lifts)
            if not any(low <= event.time <= high for low, high in forbidden):
                return slot
        raise ValueError("an event at an end of the line without a place")

    def timing(self) -> Timing:
        """The times of all moves, once every load is placed."""
        starts: dict[int, int] = {}
        routes: dict[int, Route] = {}
        for number, way in self.ways.items():
            for move, (start, route) in zip(self.instance.loads[number].moves, way, strict=True):
                starts[move], routes[move] = start, route
        count = range(len(self.instance.moves))
        return Timing(tuple(starts[m] for m in count), tuple(routes[m] for m in count))

    # -- what is free -------------------------------------------------------------------

    def busy(self, route: Route, low: int, high: int) -> Spans:
        """When a move by a route may not start for the hoist's sake, between two times."""
        empty, several = self.instance.empty, self.instance.several
        found: Spans = []
        first = bisect_left(self.made, (low - self._longest - self._reach,))
        beyond = high + route.duration + self._reach
        for made in self.made[first:]:
            if made.start > beyond:
                break
            if several is not None:
                asked = apart(several, made.route, route)
                if asked is not None:
                    found.append((made.start + asked[0] + 1, made.start + asked[1] - 1))
                continue
            found.append(
                (
                    made.start - route.duration - empty[route.target][made.source] + 1,
                    made.end + empty[made.target][route.source] - 1,
                )
            )
        if self.instance.hoist is not None:
            found.append((-EVER, self.instance.hoist[route.source] - 1))
        found += self.instance.barred(route)
        if self.joined is not None:
            found += self._kept_for_cycle(route)
        return merged(found)

    def in_time(self, route: Route, start: int) -> bool:
        """Whether a move before those of the cycle leaves the hoists free for them."""
        return not any(low <= start <= high for low, high in self._kept_for_cycle(route))

    def _kept_for_cycle(self, route: Route) -> Spans:
        """When a move before those of the cycle may not start for their sake."""
        several, joined = self.instance.several, self.joined
        assert joined is not None
        if several is None:
            return [(self._last_start(route) + 1, EVER)]
        if route not in self._asked:
            asked = ((after, apart(several, route, given)) for after, given in self._cycle_first)
            self._asked[route] = [
                (after - found[1] + 1, after - found[0] - 1) for after, found in asked if found
            ]
        spans = self._asked[route]
        return [(joined, EVER), *((joined + low, joined + high) for low, high in spans)]

    @cached_property
    def _asked(self) -> dict[Route, Spans]:
        return {}

    @cached_property
    def _cycle_first(self) -> list[tuple[int, Route]]:
        """The moves of the cycle that those before it may meet: ticks after the joining, and
        the way."""
        join, reach = self.instance.join, self._reach + 2 * self._longest
        assert join is not None and join.onward is not None
        onward, found = join.onward, []
        for turn in range(reach // onward.every + 1):
            found += [(after + turn * onward.every, route) for after, route in onward.moves]
        return [one for one in found if one[0] <= reach]

    def _last_start(self, route: Route) -> int:
        """When a move may start at the latest, for the hoist to be back for the cycle's moves."""
        assert self.joined is not None
        empty = self.instance.empty[route.target]
        ways = (after - empty[source] for after, source in self._first_tied)
        return self.joined + min(ways) - route.duration

    @cached_property
    def _first_tied(self) -> list[tuple[int, int]]:
        """The first moves of the cycle: ticks after the joining, and from where."""
        moves = self.instance.moves
        return [
            (after, moves[move].routes[0].source)
            for move, after in self.instance.tied.items()
            if after <= self._reach
        ]

    def end_busy(self, place: int, move: int, lifts: bool) -> Spans:
        """When no place at an end of the line is free for a lift, or for setting down."""
        end = self.instance.end_at.get(place)
        if end is None:
            return []
        slots = [self._forbidden(end, slot, move, lifts) for slot in range(len(end.ready))]
        found = slots[0]
        for other in slots[1:]:
            found = [
                (max(a, c), min(b, d)) for a, b in found for c, d in other if a <= d and c <= b
            ]
        return merged(found)

    def _forbidden(self, end: EndStation, slot: int, move: int, lifts: bool) -> Spans:
        instance, new = self.instance, (move, lifts)
        found = [(-EVER, end.ready[slot][0 if lifts else 1] - 1)]
        for event in self.events[end.place][slot]:
            old = (event.move, event.lifts)
            # At one and the same time it is the carrier set down that came first.
            after = event.time + max(1, lag_between(instance, end, old, new))
            before = event.time - max(1, lag_between(instance, end, new, old))
            found.append((before + 1, after - 1))
        return merged(found)

    def cells(self, place: int, load: int, route: Route | None = None) -> list[Cell]:
        """When a load may come to a place where others stand, by a route, and leave it.

        Between a lifting there and the next set down the place rests. Without a route the
        state has the load there.
        """
        instance = self.instance
        early = 0 if route is None else instance.early(route)
        others = sorted(stand for stand in self.stands.get(place, ()) if stand.load != load)
        rest = max(1, instance.rests.get(place, 0))
        return cells(others, instance.places[place], rest, early)

    def free_beside(self, place: int, before: list[Stand], stand: Stand) -> bool:
        """Whether a load that was at a place that rests before may be there again."""
        capacity, rest = self.instance.places[place].capacity, self.instance.rests[place]
        assert capacity is not None
        others = [one for one in self.stands.get(place, ()) if one.load != stand.load]
        came, until = stand.came + stand.early, stand.left + rest - 1
        found = room([*others, *before], capacity, rest)
        return any(low <= came and until <= high for low, high in found)

    def carrier_spans(self, number: int) -> Spans:
        """The spans, in whole, in which a carrier is there for another load."""
        stock = self.instance.carriers
        load = self.instance.loads[number]
        if stock is None or not load.enters:
            return [(-EVER, EVER)]
        stands = [Stand(-EVER, ready - 1, -1) for ready in stock.ready]
        inside = [n for n, other in enumerate(self.instance.loads) if not other.enters]
        for n in dict.fromkeys([*inside, *self.taken]):
            taken, back = self.taken.get(n, (-EVER, EVER))
            stands.append(Stand(taken, back - 1, n))
        return room(stands, len(stock.ready) + len(inside))
