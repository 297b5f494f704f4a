"""Baseline: a plain dispatcher, first come first served, with nothing of ours.

A load is let in, never before the one that came before it, at the earliest time at which its
whole way is free: the hoist and every tank, with each dwell its minimum. Where several tanks
serve a stage they take turns. Once let in, nothing is moved again. Common practice on plants, no
source.
"""

from __future__ import annotations

from itertools import pairwise

from hoistopt.instance import Route
from hoistopt.instance.finite import FiniteInstance

from ..methods.line import Unsupported

Way = list[tuple[int, Route]]


def dispatch(instance: FiniteInstance) -> dict[int, tuple[int, Route]]:
    """Start and route of each move; only for lines that are empty in the beginning."""
    return _Dispatcher(instance).run()


class _Dispatcher:
    def __init__(self, instance: FiniteInstance) -> None:
        self.instance = instance
        self.made: dict[int, tuple[int, Route]] = {}
        self.stands: dict[int, list[tuple[int, int]]] = {}
        self.events: dict[int, list[tuple[int, bool]]] = {}
        self.taken: list[tuple[int, int]] = []
        self.turns: dict[tuple[int, ...], int] = {}

    def run(self) -> dict[int, tuple[int, Route]]:
        entered = 0
        for load in self.instance.entering():
            plain = self._plain(load.moves)
            start = max(entered, load.earliest)
            while (later := self._later(plain, load.moves, start)) > start:
                start = later
            self._let_in(plain, load.moves, start)
            entered = start
        return self.made

    def _plain(self, moves: tuple[int, ...]) -> Way:
        """The way with least dwells from time 0 on, through tanks in turn."""
        way: Way = []
        time, place = 0, None
        for index in moves:
            routes = [r for r in self.instance.moves[index].routes if place in (None, r.source)]
            targets = tuple(dict.fromkeys(route.target for route in routes))
            turn = self.turns.get(targets, 0)
            self.turns[targets] = turn + 1
            route = next(r for r in routes if r.target == targets[turn % len(targets)])
            for left, out in way:
                rest = self.instance.rests.get(route.target, 0)
                if out.source == route.target and time + route.duration < left + rest:
                    raise Unsupported("a load that comes back to a tank before it has rested")
            way.append((time, route))
            place = route.target
            stay = self.instance.stay_after.get(index)
            time += route.duration + (0 if stay is None else stay.least)
        return way

    def _later(self, plain: Way, moves: tuple[int, ...], start: int) -> int:
        """The time itself where the whole way is free from then on; else a later one to try."""
        empty, later = self.instance.empty, start
        for offset, route in plain:
            begun, over = start + offset, start + offset + route.duration
            for other, way in self.made.values():
                back = other + way.duration + empty[way.target][route.source]
                if begun < back and other < over + empty[route.target][way.source]:
                    later = max(later, start + back - begun)
        for (_, route), (offset, _), came in _stays(plain):
            later = max(later, self._room(route.target, start + came, start + offset) + start)
        for place, offset, lifts in self._ends(plain):
            end, time = self.instance.end_at[place], start + offset
            near = [
                other + _apart(end.occupied, lifted, lifts)
                for other, lifted in self.events.get(place, [])
                if other - _apart(end.occupied, lifts, lifted) < time
                and time < other + _apart(end.occupied, lifted, lifts)
            ]
            if len(near) >= len(end.ready):
                later = max(later, min(near) - offset)
        stock = self.instance.carriers
        if stock is not None:
            first, back = self._carrier(plain, start)
            busy = [b for a, b in self.taken if a < back and first < b]
            if len(busy) >= len(stock.ready):
                later = max(later, start + min(busy) - first)
        return later

    def _room(self, place: int, came: int, left: int) -> int:
        """How much later a place would have room; 0 where it has."""
        capacity = self.instance.places[place].capacity
        others = self.stands.get(place, [])
        rest = self.instance.rests.get(place, 0)
        here = [stand for stand in others if stand[0] <= left + rest and came <= stand[1] + rest]
        if self.instance.places[place].fifo:  # nor may one overtake another
            over = [b for a, b in others if (a <= came) != (b <= left)]
            if over:
                return max(1, max(over) + 1 - left)
        if capacity is None or len(here) < capacity:
            return 0
        return max(1, min(stand[1] for stand in here) + rest + 1 - came)

    def _ends(self, plain: Way) -> list[tuple[int, int, bool]]:
        (start, first), (last, route) = plain[0], plain[-1]
        found = [(first.source, start, True), (route.target, last + route.duration, False)]
        return [each for each in found if each[0] in self.instance.end_at]

    def _carrier(self, plain: Way, start: int) -> tuple[int, int]:
        stock = self.instance.carriers
        assert stock is not None
        (_, first), (last, route) = plain[0], plain[-1]
        back = start + last + route.duration + stock.behind[route.target]
        return start - stock.ahead[first.source], back

    def _let_in(self, plain: Way, moves: tuple[int, ...], start: int) -> None:
        for index, (offset, route) in zip(moves, plain, strict=True):
            self.made[index] = (start + offset, route)
        for (_, route), (offset, _), came in _stays(plain):
            self.stands.setdefault(route.target, []).append((start + came, start + offset))
        for place, offset, lifts in self._ends(plain):
            self.events.setdefault(place, []).append((start + offset, lifts))
        if self.instance.carriers is not None:
            self.taken.append(self._carrier(plain, start))


def _stays(plain: Way) -> list[tuple[tuple[int, Route], tuple[int, Route], int]]:
    """A move, the next one, and when the first of them is over."""
    return [(one, other, one[0] + one[1].duration) for one, other in pairwise(plain)]


def _apart(occupied: int, lifted: bool, lifts: bool) -> int:
    """Ticks from a lift, or setting down, at an end of the line to a later one there."""
    if lifts:
        return max(1, occupied)
    return 1 if lifted else occupied + 1
