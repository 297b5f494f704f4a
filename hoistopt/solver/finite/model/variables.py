"""Variables of the model of a programme: starts, ends, ways, and which move comes first."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from typing import Any

from ortools.sat.python import cp_model

from ....base.clock import Clock
from ....instance import Move, Route
from ....instance.finite import FiniteInstance, FiniteLoad
from ...cpsat import new_model
from ..held import Held, spans_of

Lit = cp_model.LiteralT
"""A literal, or a truth that is known: CP-SAT is given no constraints on what is known."""

Event = tuple[int, bool]
"""A move's lifting, or its setting down: the move, and whether it is the former."""


class FiniteVariables:
    """Variables for CP-SAT, and how rules speak of them.

    Parameters
    ----------
    instance : FiniteInstance
    latest : int
        The programme is over, or the cycle joined, no later, in ticks.
    clock : Clock
    held : Held, optional
        Moves that are not free; by default all are.
    spans : list of (int, int), optional
        Between which each move starts, where rules are softer than the windows of the instance;
        by default what :func:`..held.spans_of` says of it.

    Attributes
    ----------
    start, end : list
        By move: a variable, an expression or, of what is held, a constant.
    way : list of list of literal
        By move and route, whether it is taken.
    joined : variable
        When the cycle is joined, where there is one.
    forward : variable or 0
        By how much what comes after a window is brought forward.
    orders : dict of (int, int) to literal
        Whether the first of two moves, the one of the lesser number, is made first; stated by
        the rule of the hoist, where there is one hoist.
    spans : list of (int, int)
        Between which each move starts.
    """

    def __init__(
        self,
        instance: FiniteInstance,
        latest: int,
        clock: Clock,
        held: Held | None = None,
        spans: list[tuple[int, int]] | None = None,
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
        self.orders: dict[tuple[int, int], Lit] = {}
        self._events: dict[tuple[Event, Event], Lit] = {}
        self.spans = spans_of(instance, latest, held) if spans is None else spans
        self._times()

    def _times(self) -> None:
        model = self.model
        first = {load.moves[0]: load for load in self.instance.loads}
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
            begun_before = bool(self.instance.tied) and self.instance.several is not None
            if begun_before:
                self.add_where(start < self.joined, [])
            if move.index in self.instance.promised:
                continue
            hoist = self.instance.hoist
            if hoist is not None:
                for route, lit in self.ways(move):
                    self.add_where(start >= hoist[route.source], [lit])
            self.add_where(start >= self.spans[move.index][0], [])
            if not begun_before:
                self.add_where(self.end[-1] <= self.latest, [])

    def _tied(self, move: Move, load: FiniteLoad | None) -> None:
        """A move of the cycle starts at its time after the joining."""
        start = self.joined + self.instance.tied[move.index]
        self.start.append(start)
        self.end.append(start + move.routes[0].duration)
        self.way.append([True])
        if load is not None and not load.enters:
            self.model.add(start >= load.earliest)
        if self.instance.hoist is not None:
            self.model.add(start >= self.instance.hoist[move.routes[0].source])

    def _start(self, move: int) -> Any:
        """The start of a move: a variable, or what it is held to."""
        held = self.held
        if (promised := self.instance.promised.get(move)) is not None:
            return self.model.new_constant(promised)
        if held is not None:
            if (kept := held.kept.get(move)) is not None:
                return self.model.new_constant(kept)
            if (later := held.later.get(move)) is not None:
                return later - self.forward
        low, high = self.spans[move]
        if low > high:
            self.model.add_bool_or([])  # there is no programme
        return self.model.new_int_var(low, max(low, high), f"start {move}")

    def ways(self, move: Move) -> list[tuple[Route, Lit]]:
        """The routes of a move, and whether each is taken."""
        return list(zip(move.routes, self.way[move.index], strict=True))

    def at(self, move: Move, place: int, end: str) -> Lit:
        """Whether a move has this place for its source, or its target."""
        meant = [lit for route, lit in self.ways(move) if getattr(route, end) == place]
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
            return opposite(self.before(b, a))
        return self.orders[a, b]

    def comes_before(self, one: Event, other: Event) -> Lit:
        """Whether one event comes before another.

        With one hoist that is the order of the moves. Several hoists may lift one load while
        another is carried; then a lifting before a setting down is so by a tick at least.
        """
        (a, a_lifts), (b, b_lifts) = one, other
        if self.instance.several is None:
            return self.before(a, b) if a != b else a_lifts
        if self.instance.moves[a].job == self.instance.moves[b].job:
            return a < b if a != b else a_lifts
        if one > other:
            return opposite(self.comes_before(other, one))
        if (known := self._known_of_cycle(one, other)) is not None:
            return known
        if (one, other) not in self._events:
            lit = self.model.new_bool_var("")
            self._events[one, other] = lit
            since, until = self.when(one), self.when(other)
            self.model.add(since + (a_lifts and not b_lifts) <= until).only_enforce_if(lit)
            self.model.add(until + (b_lifts and not a_lifts) <= since).only_enforce_if(~lit)
        return self._events[one, other]

    def event_orders(self) -> Iterator[tuple[tuple[Event, Event], Lit]]:
        """Events of several hoists of which a literal says whether the first comes before."""
        yield from self._events.items()

    def _known_of_cycle(self, one: Event, other: Event) -> bool | None:
        """Whether one event comes before another, where that is known of the cycle joined."""
        (a, a_lifts), (b, b_lifts) = one, other
        tied = self.instance.tied
        if a in tied and b in tied:
            moves = self.instance.moves
            since, until = (
                tied[move] + (0 if lifts else moves[move].routes[0].duration)
                for move, lifts in (one, other)
            )
            return since + (a_lifts and not b_lifts) <= until
        if a_lifts and a not in tied and b in tied:
            return True
        if b_lifts and b not in tied and a in tied:
            return False
        return None

    def when(self, event: Event) -> Any:
        """When a move lifts its load, or sets it down."""
        return self.start[event[0]] if event[1] else self.end[event[0]]

    def add_where(self, constraint: Any, given: list[Lit]) -> None:
        """Add a constraint that holds where all of some literals do."""
        if any(lit is False for lit in given):
            return
        unknown = [lit for lit in given if lit is not True]
        added = self.model.add(constraint)
        if unknown:
            added.only_enforce_if(unknown)

    def any_of(self, literals: list[Lit]) -> None:
        """One of some literals holds."""
        if not any(lit is True for lit in literals):
            self.model.add_bool_or([lit for lit in literals if lit is not False])

    @cached_property
    def far(self) -> int:
        """Ticks from start to start after which the hoist has been anywhere."""
        longest = max(route.duration for move in self.instance.moves for route in move.routes)
        return longest + max(map(max, self.instance.empty))


def _span(instance: FiniteInstance) -> int:
    """For how long after the joining the moves of a cycle go on."""
    moves = instance.moves
    after = [off + moves[n].routes[0].duration for n, off in instance.tied.items()]
    if instance.several is not None and after:
        after += [route.duration for move in moves for route in move.routes]
    return max(after, default=0)


def opposite(literal: Lit) -> Lit:
    """The negation of a literal, of a constant too."""
    return not literal if isinstance(literal, bool) else ~literal
