"""The variables of the model, and the expressions every constraint is written in."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ortools.sat.python import cp_model

from ...base.clock import Clock
from ...instance import Instance, Move, Stay
from ..cpsat import new_model

Literal = Any  # a CP-SAT literal: a Boolean variable or its negation
Linear = Any  # a CP-SAT linear expression, or an int
Event = int  # that a load is lifted, or set down

MANY_TERMS = 8
"""A sum over more alternatives gets a variable of its own, not to be written out in every
constraint that it stands in."""


class Variables:
    """Decision variables for one instance.

    Attributes
    ----------
    cycle : IntVar
        The cycle time T.
    first : int
        The move the cycle begins with, that of the first load out of its load station.
    start : list of IntVar
        Start of each move, 0 <= start < T; the first move's is 0.
    clock : Clock
        Checked while the model is built, which may take long for many alternatives.
    turns : dict
        Of several hoists, for two moves that have to keep apart in time, a literal for each
        number of cycles from the second to the start of the first before it.

    Rules are stated on events: a load is lifted, a load is set down. With one hoist events
    come in the order of the moves they belong to, and one literal tells the order of two
    moves. With several a load may be set down after another hoist has begun a later move, so
    setting down is an event of its own, with a time of its own in the cycle.
    """

    def __init__(
        self, instance: Instance, lowest: int, highest: int, clock: Clock | None = None
    ) -> None:
        self.instance = instance
        self.clock = Clock() if clock is None else clock
        self.lowest = lowest
        self.model = model = new_model()
        self.one: Literal = model.new_constant(1)
        self.cycle = model.new_int_var(lowest, highest, "T")
        self.first = first = instance.first_moves[0]
        self.start: list[Linear] = [
            model.new_constant(0)
            if move.index == first
            else model.new_int_var(0, highest - 1, f"t{move.index}")
            for move in instance.moves
        ]
        self._before: dict[tuple[Event, Event], Literal] = {}
        self.turns: dict[tuple[int, int], dict[int, Literal]] = {}
        if instance.several is None:
            self._order_moves()
        self._at = {stay.index: self._choice(stay) for stay in instance.stays}
        self._routes = [self._route_literals(move) for move in instance.moves]
        self._quicker: dict[int, Linear] = {}
        self._durations: dict[int, Linear] = {}
        self._travels: dict[tuple[int, int], Linear] = {}
        self._downs = {} if instance.several is None else self._set_downs(highest)
        self._wraps = [self._wrap_literals(stay) for stay in instance.stays]

    def _order_moves(self) -> None:
        """A literal for the order of any two moves of the one hoist."""
        for a, b in self.instance.pairs():
            self.clock.check()
            literal = (
                self.one
                if a.index == self.first
                else self.one.negated()
                if b.index == self.first
                else self.model.new_bool_var(f"p{a.index}_{b.index}")
            )
            self._before[a.index, b.index] = literal
            self._before[b.index, a.index] = literal.negated()

    # -- events and their order ---------------------------------------------------

    def lifted(self, move: int) -> Event:
        """The event that a move lifts its load."""
        return move

    def set_down(self, move: int) -> Event:
        """The event that a move sets its load down."""
        return len(self.start) + move if self._downs else move

    def at_lifting(self, move: int) -> Linear:
        """When a move lifts its load, in the cycle."""
        return self.start[move]

    def at_setting_down(self, move: int) -> Linear:
        """When a move sets its load down; of one hoist counted from its start, maybe beyond
        the end of the cycle."""
        if self._downs:
            return self._downs[move][0]
        return self.start[move] + self.duration(move)

    def downs(self) -> Iterator[tuple[int, Linear, Literal]]:
        """Of several hoists each move, when in the cycle it sets its load down, and whether in
        the cycle after it began."""
        for move, (down, later) in self._downs.items():
            yield move, down, later

    def in_the_air(self, move: int) -> Linear:
        """Cycle boundaries between start and end of a move that :meth:`wraps` does not count."""
        return self._downs[move][1] if self._downs else 0

    def _set_downs(self, highest: int) -> dict[int, tuple[Linear, Literal]]:
        """For each move when in the cycle it sets its load down, and whether in the next one.

        From 1 to the cycle time: at one and the same moment a load is set down first and
        lifted after that.
        """
        model, found = self.model, {}
        for move in self.instance.moves:
            down = model.new_int_var(1, highest, f"e{move.index}")
            later = model.new_bool_var(f"o{move.index}")
            ends = self.start[move.index] + self.duration(move.index)
            model.add(down == ends).only_enforce_if(later.negated())
            model.add(down == ends - self.cycle).only_enforce_if(later)
            model.add(down <= self.cycle)
            found[move.index] = (down, later)
        return found

    def before(self, a: Event, b: Event) -> Literal:
        """Whether event a comes before event b within the cycle."""
        if (a, b) not in self._before:
            self._compare(a, b)
        return self._before[a, b]

    def _compare(self, a: Event, b: Event) -> None:
        """A literal for the order of two events of several hoists."""
        if a == self.first or b == self.first:
            literal = self.one if a == self.first else self.one.negated()
        else:
            literal = self.model.new_bool_var(f"p{a}_{b}")
            x, y = self._moment(a), self._moment(b)
            # A load that is set down where another is lifted comes after that, not with it.
            count = len(self.start)
            self.model.add(x + (a < count <= b) <= y).only_enforce_if(literal)
            self.model.add(y + (b < count <= a) <= x).only_enforce_if(literal.negated())
        self._before[a, b] = literal
        self._before[b, a] = literal.negated()

    def _moment(self, event: Event) -> Linear:
        count = len(self.start)
        return self.start[event] if event < count else self._downs[event - count][0]

    def forbid_between(self, a: Event, b: Event, c: Event, given: list[Literal]) -> None:
        """Going round the cycle from a to c, b is not met, provided all of `given` hold.

        On a circle cut open at 0, b lies between a and c exactly when at least two of
        a < b, b < c, c < a hold.
        """
        sides = (self.before(a, b), self.before(b, c), self.before(c, a))
        unless = [literal.negated() for literal in given if literal is not self.one]
        for i, j in ((0, 1), (1, 2), (0, 2)):
            self.model.add_bool_or([*unless, sides[i].negated(), sides[j].negated()])

    # -- choice of place --------------------------------------------------------

    def at(self, stay: Stay, place: int) -> Literal:
        """Whether `stay` is at `place`."""
        return self._at[stay.index][place]

    def ends_at(self, move: Move, place: int) -> Literal:
        """Whether `move` sets its carrier down at `place`."""
        stay = self.instance.stay_after.get(move.index)
        return self.one if stay is None else self.at(stay, place)

    def begins_at(self, move: Move, place: int) -> Literal:
        """Whether `move` lifts its carrier at `place`."""
        stay = self.instance.stay_before.get(move.index)
        return self.one if stay is None else self.at(stay, place)

    def duration(self, move: int) -> Linear:
        """Planned time of a move, from the start of lifting to the end of lowering."""
        if move not in self._durations:
            planned = [route.duration for route in self.instance.moves[move].routes]
            self._durations[move] = self._short(self.weighted(move, planned), planned)
        return self._durations[move] - self.quicker(move)

    def travel(self, move: int, place: int) -> Linear:
        """Empty travel from where a move ends to a place."""
        key = move, place
        if key not in self._travels:
            targets = self.instance.moves[move].targets
            times = [self.instance.empty[target][place] for target in targets]
            if len(set(times)) == 1:
                self._travels[key] = times[0]
            else:
                ends = [self.ends_at(self.instance.moves[move], target) for target in targets]
                travel = cp_model.LinearExpr.weighted_sum(ends, times)
                self._travels[key] = self._short(travel, times)
        return self._travels[key]

    def _short(self, total: Linear, values: list[int]) -> Linear:
        """A sum that is one of some values, as a variable where it has many terms."""
        if len(set(values)) == 1 or len(values) <= MANY_TERMS:
            return total
        variable = self.model.new_int_var(min(values), max(values), "")
        self.model.add(variable == total)
        return variable

    def quicker(self, move: int) -> Linear:
        """By how many ticks a move is quicker than planned: 0 unless :meth:`quicken` was called."""
        return self._quicker.get(move, 0)

    def quicken(self, move: int, by: Linear) -> None:
        """Let a move take so many ticks less; before any rule is added."""
        self._quicker[move] = self.quicker(move) + by

    def shaved(self, move: int) -> Linear:
        """What rounding a move up takes off the maximum dwell after it."""
        return self.weighted(move, [route.shaved for route in self.instance.moves[move].routes])

    def route(self, move: int, index: int) -> Literal:
        """Whether a move takes the route of that index."""
        return self._routes[move][index]

    def weighted(self, move: int, weights: list[int]) -> Linear:
        """The weight of the route that a move takes, of one weight a route."""
        if len(set(weights)) == 1:
            return weights[0]
        return cp_model.LinearExpr.weighted_sum(self._routes[move], weights)

    def _choice(self, stay: Stay) -> dict[int, Literal]:
        if len(stay.places) == 1:
            return {stay.places[0]: self.one}
        literals = {
            place: self.model.new_bool_var(f"x{stay.index}_{place}") for place in stay.places
        }
        self.model.add_exactly_one(literals.values())
        return literals

    def _route_literals(self, move: Move) -> list[Literal]:
        """One literal a route; a route is taken when both its ends are chosen, by its hoist."""
        if len(move.routes) == 1:
            return [self.one]
        if len(move.sources) == 1 and len(move.hoists) == 1:
            return [self.ends_at(move, route.target) for route in move.routes]
        if len(move.targets) == 1 and len(move.hoists) == 1:
            return [self.begins_at(move, route.source) for route in move.routes]
        literals = [
            self.model.new_bool_var(f"r{move.index}_{route.source}_{route.target}_{route.hoist}")
            for route in move.routes
        ]
        self.model.add_exactly_one(literals)
        self.clock.check()
        for literal, route in zip(literals, move.routes, strict=True):
            for end in (self.begins_at(move, route.source), self.ends_at(move, route.target)):
                self.model.add_implication(literal, end)
        return literals

    # -- cycle boundaries a stay crosses ----------------------------------------

    def wraps(self, stay: Stay) -> Linear:
        """How many cycle boundaries lie between a stay's arrival and departure moves; where there
        are several hoists, between set down and lifted."""
        return cp_model.LinearExpr.weighted_sum(
            list(self._wraps[stay.index].values()), list(self._wraps[stay.index])
        )

    def wrap_literals(self, stay: Stay) -> dict[int, Literal]:
        """For each possible number of boundaries, whether it is that number."""
        return self._wraps[stay.index]

    def wrap_choice(
        self, highest: int, a: Event, b: Event, lowest: int, name: str
    ) -> dict[int, Literal]:
        """Literals for the number of boundaries from event a to event b, of which one holds."""
        literals = {k: self.model.new_bool_var(f"{name}_{k}") for k in range(lowest, highest + 1)}
        if 0 in literals:
            self.model.add_implication(literals[0], self.before(a, b))
        return literals

    def _wrap_literals(self, stay: Stay) -> dict[int, Literal]:
        a, b = self.set_down(stay.arrival), self.lifted(stay.departure)
        highest = self._most_wraps(stay)
        if highest == 1 and all(self.instance.places[p].capacity == 1 for p in stay.places):
            return {0: self.before(a, b), 1: self.before(b, a)}
        literals = self.wrap_choice(highest, a, b, 0, f"w{stay.index}")
        self.model.add_exactly_one(literals.values())
        return literals

    def _most_wraps(self, stay: Stay) -> int:
        capacities = [self.instance.places[place].capacity for place in stay.places]
        if None in capacities:
            # A buffer: waiting longer than the minimum asks for is never needed twice.
            return 2 + stay.least // self.lowest
        return max(capacity or 0 for capacity in capacities)
