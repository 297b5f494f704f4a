"""Baseline: a plain CP-SAT model in absolute time, each rule stated for pairs as one reads it.

One Boolean for every two moves of different loads tells which comes first, one for each route.
No bounds, hints or search strategy of ours. Only for lines that are empty in the beginning.
"""

from __future__ import annotations

from itertools import combinations, pairwise
from typing import Any

from ortools.sat.python import cp_model

from hoistopt.instance import Route
from hoistopt.instance.finite import FiniteInstance


class Pairwise:
    """Variables and rules."""

    def __init__(self, instance: FiniteInstance) -> None:
        self.instance = instance
        self.model = model = cp_model.CpModel()
        moves = instance.moves
        self.longest = _longest(instance)
        self.start = [model.new_int_var(0, self.longest, "") for _ in moves]
        self.end = [model.new_int_var(0, self.longest, "") for _ in moves]
        self.takes = [[model.new_bool_var("") for _ in move.routes] for move in moves]
        self.before: dict[tuple[int, int], Any] = {}
        for a, b in combinations(range(len(moves)), 2):
            first = model.new_bool_var("")
            self.before[a, b], self.before[b, a] = first, first.negated()
        self.finish = model.new_int_var(0, self.longest, "")
        for rule in (self._ways, self._hoist, self._tanks, self._ends, self._carriers):
            rule()
        self._aim()

    def _ways(self) -> None:
        """Each move takes one route; a load is lifted where it was set down, in its window."""
        model, moves = self.model, self.instance.moves
        for move, taken in zip(moves, self.takes, strict=True):
            model.add_exactly_one(taken)
            for route, chosen in zip(move.routes, taken, strict=True):
                length = self.start[move.index] + route.duration
                model.add(self.end[move.index] == length).only_enforce_if(chosen)
        for load in self.instance.loads:
            model.add(self.start[load.moves[0]] >= load.earliest)
            for a, b in pairwise(load.moves):
                stay = self.instance.stay_after[a]
                dwell = self.start[b] - self.end[a]
                model.add(dwell >= stay.least)
                for route, chosen in zip(moves[a].routes, self.takes[a], strict=True):
                    if stay.most is not None:
                        most = stay.most - route.shaved
                        model.add(dwell <= most).only_enforce_if(chosen)
                    onward = [
                        lit
                        for way, lit in zip(moves[b].routes, self.takes[b], strict=True)
                        if way.source == route.target
                    ]
                    model.add_bool_or(onward).only_enforce_if(chosen)

    def _hoist(self) -> None:
        """Of every two moves the later one starts when the hoist can be there."""
        moves, empty = self.instance.moves, self.instance.empty
        for (a, b), first in self.before.items():
            for one, ones in zip(moves[a].routes, self.takes[a], strict=True):
                for other, others in zip(moves[b].routes, self.takes[b], strict=True):
                    needed = one.duration + empty[one.target][other.source]
                    later = self.model.add(self.start[b] - self.start[a] >= needed)
                    later.only_enforce_if(first, ones, others)

    def _tanks(self) -> None:
        """No tank holds more carriers than it has places, and they leave as they came."""
        model, moves = self.model, self.instance.moves
        stays: dict[int, list[tuple[int, int, Any]]] = {}
        for stay in self.instance.stays:
            a, b = stay.arrival, stay.departure
            for place in stay.places:
                to = [
                    lit
                    for route, lit in zip(moves[a].routes, self.takes[a], strict=True)
                    if route.target == place
                ]
                here = model.new_bool_var("")
                model.add(sum(to) == here)
                stays.setdefault(place, []).append((a, b, here))
        for place, standing in stays.items():
            station = self.instance.places[place]
            if station.capacity is None:
                continue
            spans = []
            for a, b, lit in standing:
                most = self.longest + max(1, self.instance.rests.get(place, 0))
                size = model.new_int_var(1, most, "")
                over = self.start[b] + max(1, self.instance.rests.get(place, 0))
                spans.append(model.new_optional_interval_var(self.end[a], size, over, lit, ""))
            model.add_cumulative(spans, [1] * len(spans), station.capacity)
            if station.fifo and station.capacity > 1:
                for (a, b, x), (c, d, y) in combinations(standing, 2):
                    model.add(self.before[a, c] == self.before[b, d]).only_enforce_if(x, y)

    def _ends(self) -> None:
        """A place at the end of the line serves one carrier at a time, for so long."""
        model, moves = self.model, self.instance.moves
        for end in self.instance.ends:
            events = []
            for load in self.instance.loads:
                first, last = load.moves[0], load.moves[-1]
                if moves[first].routes[0].source == end.place:
                    events.append((first, self.start[first], True))
                if moves[last].routes[0].target == end.place:
                    events.append((last, self.end[last], False))
            if len(end.ready) > 1:  # on the safe side, after a lift too
                size = end.occupied + 1
                spans = [model.new_fixed_size_interval_var(time, size, "") for _, time, _ in events]
                model.add_cumulative(spans, [1] * len(spans), len(end.ready))
                continue
            for (a, at, lifts), (b, then, lifts_too) in combinations(events, 2):
                after = end.occupied + (not lifts_too) if lifts_too or not lifts else 0
                before = end.occupied + (not lifts) if lifts or not lifts_too else 0
                model.add(then - at >= after).only_enforce_if(self.before[a, b])
                model.add(at - then >= before).only_enforce_if(self.before[b, a])

    def _carriers(self) -> None:
        stock = self.instance.carriers
        if stock is None:
            return
        spans = []
        for load in self.instance.loads:
            first, last = load.moves[0], load.moves[-1]
            taken = self.start[first] - stock.ahead[self.instance.moves[first].routes[0].source]
            back = self.end[last] + stock.behind[self.instance.moves[last].routes[0].target]
            size = self.model.new_int_var(0, 2 * self.longest, "")
            spans.append(self.model.new_interval_var(taken, size, back, ""))
        self.model.add_cumulative(spans, [1] * len(spans), len(stock.ready))

    def _aim(self) -> None:
        """The least weighted lateness, then the least finish, in one sum."""
        model, late = self.model, []
        for load in self.instance.loads:
            model.add(self.finish >= self.end[load.moves[-1]])
            if load.due is not None:
                over = model.new_int_var(0, self.longest, "")
                model.add(over >= self.end[load.moves[-1]] - load.due)
                late.append(load.weight * over)
        model.minimize(sum(late) * self.longest + self.finish if late else self.finish)

    def found(self, solver: cp_model.CpSolver) -> dict[int, tuple[int, Route]]:
        """Start and route of each move."""
        return {
            move.index: (
                solver.value(self.start[move.index]),
                next(
                    route
                    for route, lit in zip(move.routes, self.takes[move.index], strict=True)
                    if solver.boolean_value(lit)
                ),
            )
            for move in self.instance.moves
        }


def _longest(instance: FiniteInstance) -> int:
    """Every load alone on the line, one after the other, with the way back for the hoist."""
    total = max([0, *(load.earliest for load in instance.loads)])
    back = max(map(max, instance.empty))
    apart = sum(end.occupied + 1 for end in instance.ends)
    apart += max(instance.rests.values(), default=0)
    stock = instance.carriers
    if stock is not None:
        apart += max(stock.ahead.values()) + max(stock.behind.values())
    for load in instance.loads:
        total += back + apart
        for index in load.moves:
            stay = instance.stay_after.get(index)
            total += max(route.duration for route in instance.moves[index].routes)
            total += 0 if stay is None else stay.least
    return total
