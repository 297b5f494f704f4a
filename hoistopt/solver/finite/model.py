"""The whole model in absolute time: every rule of a programme, one method a rule."""

from __future__ import annotations

from functools import cached_property
from itertools import combinations
from typing import Any

from ortools.sat.python import cp_model

from ...base.clock import Clock
from ...instance import Move, Route, Stay
from ...instance.finite import EndStation, FiniteInstance, FiniteLoad, Join
from ..cpsat import new_model
from .ends import events_at, lag_between
from .held import Held, spans_of
from .times import Timing, joined

Lit = cp_model.LiteralT
"""A literal, or a truth that is known: CP-SAT is given no constraints on what is known."""


class FiniteModel:
    """Variables and rules for CP-SAT.

    Parameters
    ----------
    instance : FiniteInstance
    latest : int
        The programme is over, or the cycle joined, no later, in ticks.
    clock : Clock
        When it is over, building is given up.
    held : Held, optional
        Moves that are not free; by default all are.

    Raises
    ------
    OutOfTime
        When the clock is over.
    """

    def __init__(
        self,
        instance: FiniteInstance,
        latest: int,
        clock: Clock,
        held: Held | None = None,
    ) -> None:
        self.instance = instance
        self.held = held
        self.latest = latest
        self.horizon = latest + _span(instance)
        self.clock = clock
        self.model = new_model()
        self.joined = self.model.new_int_var(0, latest, "joined")
        self.forward: Any = 0 if held is None else self.model.new_int_var(0, held.most, "")
        self.start: list[Any] = []
        self.end: list[Any] = []
        self.way: list[list[Lit]] = []
        self._before: dict[tuple[int, int], Lit] = {}
        self._times()
        for rule in (
            self.hoist_in_one_place,
            self.dwell_within_window,
            self.places_hold_what_they_can,
            self.places_rest,
            self.order_kept,
            self.ends_of_the_line,
            self.carriers_enough,
            self.entering_in_order,
        ):
            clock.check()
            rule()
        self.aim = self._finish() if instance.join is None else self._in_step(instance.join)

    def _finish(self) -> Any:
        finish = self.model.new_int_var(0, self.latest, "finish")
        for load in self.instance.loads:
            self.model.add(finish >= self.end[load.moves[-1]])
        return finish

    def _in_step(self, join: Join) -> Any:
        """The joining; before it the time in which no load comes out, where that is asked."""
        if not join.leaving:
            return self.joined
        last = self.model.new_int_var(0, self.horizon, "last out")
        self.model.add_max_equality(last, [self.end[move] for move in join.leaving])
        return (self.joined + join.first_out - last) * self.weight + self.joined

    @property
    def weight(self) -> int:
        """How much more the time without a load counts than the joining."""
        return self.horizon + 1

    # -- variables ----------------------------------------------------------------

    def _times(self) -> None:
        model = self.model
        first = {load.moves[0]: load for load in self.instance.loads}
        self._spans = spans_of(self.instance, self.latest, self.held)
        for move in self.instance.moves:
            load = first.get(move.index)
            if move.index in self.instance.tied:
                self._tied(move, load)
                continue
            start = self._start(move.index)
            self.start.append(start)
            if len(move.routes) == 1:
                self.way.append([True])
                self.end.append(start + move.routes[0].duration)
            else:
                taken = [model.new_bool_var("") for _ in move.routes]
                model.add_exactly_one(taken)
                self.way.append(list(taken))
                end = model.new_int_var(0, self.horizon, "")  # CP-SAT wants one for intervals
                for route, choice in zip(move.routes, taken, strict=True):
                    model.add(end == start + route.duration).only_enforce_if(choice)
                self.end.append(end)
            hoist = self.instance.hoist
            if hoist is not None:
                for route, lit in self._ways(move):
                    self._add(start >= hoist[route.source], [lit])
            self._add(start >= self._spans[move.index][0], [])
            self._add(self.end[-1] <= self.latest, [])

    def _tied(self, move: Move, load: FiniteLoad | None) -> None:
        """A move of the cycle starts at its time after the joining."""
        start = self.joined + self.instance.tied[move.index]
        self.start.append(start)
        self.end.append(start + move.routes[0].duration)
        self.way.append([True])
        if load is not None and not load.enters:
            self.model.add(start >= load.earliest)
            if load.latest is not None:
                self.model.add(start <= load.latest)
        if self.instance.hoist is not None:
            self.model.add(start >= self.instance.hoist[move.routes[0].source])

    def _start(self, move: int) -> Any:
        """The start of a move: a variable, or what it is held to."""
        held = self.held
        if held is not None:
            if (kept := held.kept.get(move)) is not None:
                return self.model.new_constant(kept)
            if (later := held.later.get(move)) is not None:
                return later - self.forward
        low, high = self._spans[move]
        if low > high:
            self.model.add_bool_or([])  # there is no programme
        return self.model.new_int_var(low, max(low, high), f"start {move}")

    def _ways(self, move: Move) -> list[tuple[Route, Lit]]:
        return list(zip(move.routes, self.way[move.index], strict=True))

    def at(self, move: Move, place: int, end: str) -> Lit:
        """Whether a move has this place for its source, or its target."""
        meant = [lit for route, lit in self._ways(move) if getattr(route, end) == place]
        if len(meant) == len(move.routes):
            return True
        if len(meant) == 1:
            return meant[0]
        found = self.model.new_bool_var("")
        self.model.add(sum(meant) == found)
        return found

    def before(self, a: int, b: int) -> Lit:
        """Whether one move is made before another, or is that other."""
        if a == b:
            return True
        if a > b:
            return _not(self.before(b, a))
        return self._before[a, b]

    def _add(self, constraint: Any, given: list[Lit]) -> None:
        """Add a constraint that holds where all of some literals do."""
        if any(lit is False for lit in given):
            return
        unknown = [lit for lit in given if lit is not True]
        added = self.model.add(constraint)
        if unknown:
            added.only_enforce_if(unknown)

    def _any(self, literals: list[Lit]) -> None:
        """One of some literals holds."""
        if not any(lit is True for lit in literals):
            self.model.add_bool_or([lit for lit in literals if lit is not False])

    # -- rules ----------------------------------------------------------------------

    def hoist_in_one_place(self) -> None:
        """Of any two moves the later one starts when the hoist can be there at the earliest.

        Those of a cycle leave one another time, and all others come before them.
        """
        tied = self.instance.tied
        for a, b in combinations(self.instance.moves, 2):
            if a.index in tied or b.index in tied:
                self._before[a.index, b.index] = first = tied.get(a.index, -1) < tied.get(
                    b.index, -1
                )
                if first and a.index not in tied:
                    self._apart(a, b, [])
                elif not first and b.index not in tied:
                    self._apart(b, a, [])
                continue
            if a.job == b.job:
                self._before[a.index, b.index] = True
                if not self._follows(a, b):
                    self._apart(a, b, [])
                continue
            if (known := self._known(a, b)) is not None:
                self._before[a.index, b.index] = known
                continue
            lit = self.model.new_bool_var("")
            self._before[a.index, b.index] = lit
            self._apart(a, b, [lit])
            self._apart(b, a, [_not(lit)])

    def _follows(self, a: Move, b: Move) -> bool:
        """Whether the least dwells alone leave the hoist its time between two moves of a load."""
        moves, empty = self.instance.moves, self.instance.empty
        least = sum(
            self.instance.stay_after[index].least + (index > a.index) * moves[index].shortest
            for index in range(a.index, b.index)
        )
        return least >= max(empty[i.target][j.source] for i in a.routes for j in b.routes)

    def _known(self, a: Move, b: Move) -> bool | None:
        """Whether one move is made before another, where that follows from what is held.

        Those that are near each other and move against each other are told apart here.
        """
        held = self.held
        if held is None:
            return None
        for starts in (held.kept, held.later):
            if a.index in starts and b.index in starts:
                return starts[a.index] < starts[b.index]
        of_a, of_b = self._spans[a.index], self._spans[b.index]
        for one, other, gap, order in (
            (a, b, of_b[0] - of_a[1], True),
            (b, a, of_a[0] - of_b[1], False),
        ):
            if gap >= self._far:
                return order
            # The other one first: it would have to start before that one can.
            if gap > -other.shortest:
                self._apart(one, other, [])
                return order
        return None

    @cached_property
    def _far(self) -> int:
        """Ticks from start to start after which the hoist has been anywhere."""
        longest = max(route.duration for move in self.instance.moves for route in move.routes)
        return longest + max(map(max, self.instance.empty))

    def _apart(self, a: Move, b: Move, given: list[Lit]) -> None:
        empty = self.instance.empty
        for one, first in self._ways(a):
            for other, second in self._ways(b):
                needed = one.duration + empty[one.target][other.source]
                later = self.start[b.index] >= self.start[a.index] + needed
                self._add(later, [first, second, *given])

    def dwell_within_window(self) -> None:
        """A load stands in its stage within the window, at one of the stations that serve it."""
        for stay in self.instance.stays:
            if stay.arrival in self.instance.tied:
                continue  # all of it is the cycle's
            into, out = self.instance.moves[stay.arrival], self.instance.moves[stay.departure]
            dwell = self.start[out.index] - self.end[into.index]
            self.model.add(dwell >= stay.least)
            if stay.most is not None:
                for route, lit in self._ways(into):
                    self._add(dwell <= stay.most - route.shaved, [lit])
            if len(stay.places) > 1:
                for place in stay.places:
                    self.model.add(self.at(into, place, "target") == self.at(out, place, "source"))

    def _standing(self, place: int) -> list[tuple[Stay | None, FiniteLoad | None, Lit]]:
        """What stands, or may, at a place: stays to come, and loads of the state.

        Once it is joined the cycle sees to its own: those that come then are left out.
        """
        found: list[tuple[Stay | None, FiniteLoad | None, Lit]] = []
        for load in self.instance.loads:
            if load.place == place:
                found.append((None, load, True))
        for stay in self.instance.stays:
            if place in stay.places and stay.arrival not in self.instance.tied:
                into = self.instance.moves[stay.arrival]
                found.append((stay, None, self.at(into, place, "target")))
        return found

    def places_hold_what_they_can(self) -> None:
        """A station never holds more loads than it has places."""
        for number, place in enumerate(self.instance.places):
            here = self._standing(number)
            if place.capacity is None or len(here) <= place.capacity:
                continue
            if place.capacity == 1:
                self._one_at_a_time(here)
                continue
            intervals = []
            for stay, load, lit in here:
                leave = self.start[_departure(stay, load)] + 1
                came: Any = self.end[stay.arrival] if stay is not None else max(-1, _came(load))
                size = self.model.new_int_var(0, 2 * self.horizon + 2, "")
                intervals.append(self.model.new_optional_interval_var(came, size, leave, lit, ""))
            self.model.add_cumulative(intervals, [1] * len(intervals), place.capacity)

    def _one_at_a_time(self, here: list[tuple[Stay | None, FiniteLoad | None, Lit]]) -> None:
        for (one, a, first), (other, b, second) in combinations(here, 2):
            ways: list[Lit] = [_not(first), _not(second)]
            if other is not None:
                ways.append(self.before(_departure(one, a), other.arrival))
            if one is not None:
                ways.append(self.before(_departure(other, b), one.arrival))
            self._any(ways)

    def places_rest(self) -> None:
        """From a load's lifting to the next one's set down at the same place, its rest passes.

        What the cycle sets down once it is joined counts as well, after what went before.
        """
        tied = self.instance.tied
        for number, place in enumerate(self.instance.places):
            if number not in self.instance.rests:
                continue
            here = self._standing(number)
            here += [
                (stay, None, self.at(self.instance.moves[stay.arrival], number, "target"))
                for stay in self.instance.stays
                if number in stay.places and stay.arrival in tied
            ]
            if place.capacity == 1:
                self._rest_between(number, here)
            else:
                self._rest_of_several(number, here)

    def _rest_between(
        self, place: int, here: list[tuple[Stay | None, FiniteLoad | None, Lit]]
    ) -> None:
        moves, tied, rest = self.instance.moves, self.instance.tied, self.instance.rests[place]
        for other, _, second in here:
            if other is None:
                continue
            into = [way for way in self._ways(moves[other.arrival]) if way[0].target == place]
            end = self.end[other.arrival]
            for route, way in into:
                lag = rest - self.instance.early(route)
                for left in self.instance.resting.get(place, ()):
                    self._add(end >= left + lag, [way])
                for one, load, first in here:
                    out = _departure(one, load)
                    if out == other.arrival or (out in tied and other.arrival in tied):
                        continue
                    away = next((r for r in moves[out].routes if r.source == place), None)
                    if away is None:
                        continue  # a move that is held to another place
                    apart = self.instance.places[place].resting(route, away)
                    given = [way, first, second, self.before(out, other.arrival)]
                    self._add(end >= self.start[out] + apart, given)

    def _rest_of_several(
        self, place: int, here: list[tuple[Stay | None, FiniteLoad | None, Lit]]
    ) -> None:
        """A place is taken until its rest is over, counted for the move that ends least early."""
        model, instance = self.model, self.instance
        capacity, lag = instance.places[place].capacity, instance.rests[place]
        assert capacity is not None
        intervals = [
            model.new_fixed_size_interval_var(-1, left + lag + 1, "")
            for left in instance.resting.get(place, ())
            if left + lag > 0
        ]
        for stay, load, lit in here:
            came = max(-1, _came(load)) if stay is None else self._came_to_rest(place, stay)
            leave = self.start[_departure(stay, load)] + lag
            size = model.new_int_var(0, 2 * self.horizon + 2 + lag, "")
            intervals.append(model.new_optional_interval_var(came, size, leave, lit, ""))
        model.add_cumulative(intervals, [1] * len(intervals), capacity)

    def _came_to_rest(self, place: int, stay: Stay) -> Any:
        """When a load comes to a place, later by what its move may come sooner after a lifting."""
        into = [w for w in self._ways(self.instance.moves[stay.arrival]) if w[0].target == place]
        end, sooner = self.end[stay.arrival], {self.instance.early(route) for route, _ in into}
        if len(sooner) <= 1:
            return end + max(sooner, default=0)
        came = self.model.new_int_var(0, self.horizon + max(sooner), "")
        for route, way in into:
            self._add(came == end + self.instance.early(route), [way])
        return came

    def order_kept(self) -> None:
        """Loads leave a station of several places that keeps order as they came."""
        for number, place in enumerate(self.instance.places):
            if not place.fifo or place.capacity == 1:
                continue
            for (one, a, first), (other, b, second) in combinations(self._standing(number), 2):
                leaves = self.before(_departure(one, a), _departure(other, b))
                came: Lit
                if other is None:
                    came = _came(a) < _came(b)
                elif one is None:
                    came = True
                else:
                    came = self.before(one.arrival, other.arrival)
                gone = [_not(first), _not(second)]
                self._any([*gone, _not(came), leaves])
                self._any([*gone, came, _not(leaves)])

    def ends_of_the_line(self) -> None:
        """At load and unload stations carriers stand their time, each at a place of its own."""
        for end in self.instance.ends:
            self._end(end, events_at(self.instance, end))

    def _end(self, end: EndStation, events: list[tuple[int, bool]]) -> None:
        model, slots = self.model, range(len(end.ready))
        chosen: list[list[Lit]] = []
        for move, lifts in events:
            taken: list[Lit] = [True]
            if len(end.ready) > 1:
                taken = [model.new_bool_var("") for _ in slots]
                model.add_exactly_one(taken)
            chosen.append(taken)
            time = self.start[move] if lifts else self.end[move]
            for slot in slots:
                ready = end.ready[slot][0 if lifts else 1]
                self._add(time >= ready, [taken[slot]])
        for u, v in combinations(range(len(events)), 2):
            for one, other in ((u, v), (v, u)):
                (a, a_lifts), (b, b_lifts) = events[one], events[other]
                first = self.before(a, b) if a != b else a_lifts
                since = self.start[a] if a_lifts else self.end[a]
                until = self.start[b] if b_lifts else self.end[b]
                lag = lag_between(self.instance, end, events[one], events[other])
                for slot in slots:
                    together = [first, chosen[one][slot], chosen[other][slot]]
                    self._add(until >= since + lag, together)

    def carriers_enough(self) -> None:
        """No more loads are on their way than there are carriers, those coming back included."""
        stock = self.instance.carriers
        if stock is None:
            return
        model, moves = self.model, self.instance.moves
        long_ago = -3 * self.horizon - max([0, *stock.ready, *stock.ahead.values()])
        intervals = []
        for load in self.instance.loads:
            last = moves[load.moves[-1]]
            back = self.end[last.index] + stock.behind[last.routes[0].target]
            source = moves[load.moves[0]].routes[0].source
            taken: Any = (
                self.start[load.moves[0]] - stock.ahead[source] if load.enters else long_ago
            )
            size = model.new_int_var(0, 10 * self.horizon + 10 * abs(long_ago), "")
            intervals.append(model.new_interval_var(taken, size, back, ""))
        for ready in stock.ready:
            if ready > long_ago:
                intervals.append(model.new_fixed_size_interval_var(long_ago, ready - long_ago, ""))
        inside = sum(not load.enters for load in self.instance.loads)
        count = len(stock.ready) + inside
        model.add_cumulative(intervals, [1] * len(intervals), count)

    def entering_in_order(self) -> None:
        """Loads enter in the order asked for; alike ones in that of their numbers."""
        tied = self.instance.tied  # whoever has a role in a cycle is like no other
        entering = [x for x in self.instance.entering() if x.moves[-1] not in tied]
        for one, other in combinations(entering, 2):
            alike = (one.recipe, one.earliest, one.due, one.weight) == (
                other.recipe,
                other.earliest,
                other.due,
                other.weight,
            )
            if alike or self.instance.in_order:
                self._any([self.before(one.moves[0], other.moves[0])])

    def lateness(self) -> Any:
        """Weighted ticks by which loads are out after their due times."""
        terms: list[Any] = []
        for load in self.instance.loads:
            outlet = self.instance.outlet(load)
            if load.due is None or outlet is None:
                continue
            late = self.model.new_int_var(0, self.horizon, "")
            self.model.add(late >= self.end[outlet] - load.due)
            terms.append(load.weight * late)
        return sum(terms)

    # -- solutions ------------------------------------------------------------------

    def hint(self, timing: Timing) -> None:
        """Let a search begin with a timing."""
        for move in self.instance.moves:
            start = self.start[move.index]
            if isinstance(start, cp_model.IntVar) and move.index not in self.instance.tied:
                self.model.add_hint(start, timing.starts[move.index])
        if self.instance.join is not None:
            self.model.add_hint(self.joined, joined(self.instance, timing))

    def hold_order(self, timing: Timing, within: int) -> None:
        """Let moves change places only with those that start so many ticks from them at most."""
        for (a, b), lit in self._before.items():
            apart = timing.starts[b] - timing.starts[a]
            if abs(apart) > within and not isinstance(lit, bool):
                self.model.add_bool_and([lit if apart > 0 else ~lit])

    def timing(self, solver: cp_model.CpSolver) -> Timing:
        """The timing a solver has found."""
        routes = []
        for move in self.instance.moves:
            taken = [
                route for route, lit in self._ways(move) if lit is True or solver.boolean_value(lit)
            ]
            routes.append(taken[0])
        return Timing(tuple(solver.value(start) for start in self.start), tuple(routes))


def _span(instance: FiniteInstance) -> int:
    """For how long after the joining the moves of a cycle go on."""
    moves = instance.moves
    return max((off + moves[n].routes[0].duration for n, off in instance.tied.items()), default=0)


def _not(literal: Lit) -> Lit:
    return not literal if isinstance(literal, bool) else ~literal


def _departure(stay: Stay | None, load: FiniteLoad | None) -> int:
    if stay is not None:
        return stay.departure
    assert load is not None
    return load.moves[0]


def _came(load: FiniteLoad | None) -> int:
    assert load is not None
    return load.came
