"""The model of a line whose limits give way, each by a number of ticks that is to be found."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import partial
from typing import Any, Literal

from ortools.sat.python import cp_model

from ..base.clock import Clock, OutOfTime
from ..base.errors import HoistoptError
from ..checker import Refused, accepted
from ..instance import Instance, Stay, Turnround, build_instance
from ..instance.limits import Limit, governs
from ..problem import Problem
from ..schedule import Schedule
from ..solver import build_model, horizon, least_cycle, lowest_cycle, travels_of
from ..solver.model.constraints.dwell import dwell_in_window
from ..solver.model.constraints.ends import EndsGive, ends_of_the_line
from ..solver.model.constraints.rest import places_rest
from ..solver.model.decode import decode
from ..solver.model.hint import hint
from ..solver.model.variables import Linear, Variables
from .demands import is_end
from .soft import held_to

Given = Mapping[Limit, Decimal]
"""New figures of limits that give way."""


class Giving:
    """Variables and rules of a line whose limits give way.

    Parameters
    ----------
    problem, instance : Problem, Instance
        The line as it is, its cycle time limited as wished.
    limits : sequence of Limit
        Those that may give way, each as far as it may go; all others are kept. Of several
        hoists none that makes a move quicker.
    clock : Clock, optional
        When it is over, building is given up.

    Attributes
    ----------
    variables : Variables
    by : dict of Limit to IntVar
        By how many ticks each gives way; of carriers, by how many.
    most : dict of Limit to int
        By how many at most.

    Raises
    ------
    OutOfTime
        When the clock is over.
    """

    def __init__(
        self,
        problem: Problem,
        instance: Instance,
        limits: Sequence[Limit],
        clock: Clock | None = None,
    ) -> None:
        self.problem, self.instance, self.limits = problem, instance, tuple(limits)
        self.by: dict[Limit, Any] = {}
        self.most: dict[Limit, int] = {}
        self._anew_moves: dict[tuple[str, str], Any] = {}
        self._clock = Clock() if clock is None else clock
        widest = problem
        for limit in limits:
            widest = limit.changed(widest, limit.far)
        # Bounds must hold however far the limits give way.
        far = build_instance(widest, instance.degree, self._clock, several=True)
        low = max(lowest_cycle(far, self._clock), instance.shortest, 1)
        high = horizon(instance, self._clock)
        if instance.longest is not None:
            high = min(high, instance.longest)
        self._longest = max(low, high)
        self._windows = {(x.recipe, x.stage, x.kind): x for x in limits if x.recipe}
        self._ends = {x.station: x for x in limits if x.kind == "occupation"}
        self._rests = {x.station: x for x in limits if x.kind == "rest"}
        self._one = {x.kind: x for x in limits if x.kind in ("carriers", "return")}
        self.variables = build_model(
            replace(instance, carriers=far.carriers),
            self._longest,
            lowest=low,
            rules={
                "dwell": partial(dwell_in_window, gives=self._dwell),
                "rest": partial(places_rest, gives=self._rest),
                "ends": lambda variables: ends_of_the_line(variables, self._turnrounds(variables)),
            },
            prepare=self._prepare,
            clock=self._clock,
        )

    # -- what gives way -----------------------------------------------------------

    def _prepare(self, variables: Variables) -> None:
        for number, limit in enumerate(self.limits):
            self.most[limit] = self._most(limit, variables)
            self.by[limit] = variables.model.new_int_var(0, self.most[limit], f"by_{number}")
        for move in self.instance.moves:
            for limit in self.limits:
                self._quicken(variables, move.index, limit)

    def _most(self, limit: Limit, variables: Variables) -> int:
        if limit.room is not None:
            return limit.steps(limit.room, self.instance.ticks_per_unit)
        # No dwell is ever longer than that.
        wraps = (max(variables.wrap_literals(stay)) for stay in self.instance.stays)
        return self._longest * (1 + max(wraps, default=1))

    def _quicken(self, variables: Variables, move: int, limit: Limit) -> None:
        """Let a limit of the hoist's times shorten a move, on the routes that it governs.

        A time given for the move itself stands for all of it: then lifting and lowering
        have no say.
        """
        model, routes = variables.model, self.instance.moves[move].routes
        governed = [self._governs(limit, move, index) for index in range(len(routes))]
        if not any(governed):
            return
        by = self.by[limit]
        over = [self._given_anew(variables, limit, move, index) for index in range(len(routes))]
        if all(governed) and not any(literal is not None for literal in over):
            variables.quicken(move, by)
            return
        here = model.new_int_var(0, self.most[limit], f"quicker_{move}_{by.name}")
        for index, governs_it in enumerate(governed):
            taken, anew = variables.route(move, index), over[index]
            if anew is None or not governs_it:
                model.add(here == (by if governs_it else 0)).only_enforce_if(taken)
                continue
            model.add(here == by).only_enforce_if(taken, anew.negated())
            model.add(here == 0).only_enforce_if(taken, anew)
        variables.quicken(move, here)

    def _given_anew(self, variables: Variables, limit: Limit, move: int, index: int) -> Any:
        """Whether a move's time is given anew, where that leaves a limit out; None: never."""
        if limit.kind not in ("lift", "lower"):
            return None
        ends = self._ends_of(move, index)
        if ends not in self._anew_moves:
            own = [x for x in self.limits if x.kind == "move" and (x.station, x.to) == ends]
            literal: Any = variables.model.new_bool_var("") if own else None
            for other in own:
                variables.model.add(self.by[other] >= 1).only_enforce_if(literal)
                variables.model.add(self.by[other] == 0).only_enforce_if(literal.negated())
            self._anew_moves[ends] = literal
        return self._anew_moves[ends]

    def _governs(self, limit: Limit, move: int, index: int) -> bool:
        """Whether a limit is part of the time of a move on one of its routes."""
        made = self.instance.moves[move]
        if limit.kind == "drip":
            return (self.instance.recipes[made.job], made.stage) == (limit.recipe, limit.stage)
        source, target = self._ends_of(move, index)
        if limit.kind == "move":
            return (source, target) == (limit.station, limit.to)
        return limit.kind in ("lift", "lower") and governs(self.problem, limit.kind, source, target)

    def _ends_of(self, move: int, index: int) -> tuple[str, str]:
        route = self.instance.moves[move].routes[index]
        return self.instance.places[route.source].name, self.instance.places[route.target].name

    def _dwell(self, variables: Variables, stay: Stay, end: Literal["min", "max"]) -> Linear:
        """By how much an end of the window of a stay gives way."""
        if is_end(self.problem, self.instance, stay):
            standing = self._ends.get(stay.label)
            return 0 if standing is None or end == "max" else self.by[standing]
        move = self.instance.moves[stay.departure]
        key = (self.instance.recipes[move.job], move.stage)
        given = {
            kind: self.by[self._windows[*key, kind]]
            for kind in ("min", "max")
            if (*key, kind) in self._windows
        }
        if end == "min" or stay.most is None:
            return given.get(end, 0)
        return given.get("max", 0) + self._unrounded(variables, stay)

    def _rest(self, variables: Variables, place: int) -> Linear:
        """By how much the rest of a place gives way."""
        limit = self._rests.get(self.instance.places[place].name)
        return 0 if limit is None else self.by[limit]

    def _unrounded(self, variables: Variables, stay: Stay) -> Linear:
        """The tick that a maximum does not lose after a move whose time is given anew.

        A move that was rounded up costs the maximum after it a tick; one of whole ticks
        costs none.
        """
        model, routes = variables.model, self.instance.moves[stay.arrival].routes
        gained: Linear = 0
        for index, route in enumerate(routes):
            for limit in self.limits if route.excess else ():
                if limit.kind == "move" and self._governs(limit, stay.arrival, index):
                    whole = model.new_bool_var("")
                    model.add(self.by[limit] >= 1).only_enforce_if(whole)
                    model.add_implication(whole, variables.route(stay.arrival, index))
                    gained = gained + whole
        return gained

    def _turnrounds(self, variables: Variables) -> EndsGive:
        carriers: Linear | None = None
        if "carriers" in self._one and self.instance.carriers is not None:
            carriers = self.instance.carriers + self.by[self._one["carriers"]]
        return EndsGive(self._lag, carriers)

    def _lag(self, chain: Turnround, source: int, target: int) -> Linear:
        standing = [chain.label]
        given: list[Any] = []
        if chain.carries and chain.place is None:
            leaving, entering = (
                self.problem.recipe_by_name[self.instance.recipes[self.instance.moves[move].job]]
                for move in (source, target)
            )
            standing = [
                self.problem.unload_station(leaving).name,
                self.problem.load_station(entering).name,
            ]
            given = [self.by[x] for x in self._one.values() if x.kind == "return"]
        given += [self.by[self._ends[name]] for name in standing if name in self._ends]
        return _sum(given)

    # -- what is asked ------------------------------------------------------------

    def one_at_most(self) -> None:
        """Let a single limit give way, whichever it is."""
        model = self.variables.model
        used = [model.new_bool_var(f"used_{number}") for number in range(len(self.limits))]
        for by, literal in zip(self.by.values(), used, strict=True):
            model.add(by == 0).only_enforce_if(literal.negated())
        model.add_at_most_one(used)

    def hint(self, like: Schedule) -> None:
        """Let the search begin near a schedule of the same loads."""
        hint(self.variables, like)

    # -- what comes of it ---------------------------------------------------------

    def given(self, value: Any) -> dict[Limit, Decimal]:
        """The new figures of the limits that a solution changes."""
        grid = self.instance.ticks_per_unit
        return {limit: limit.stepped(value(by), grid) for limit, by in self.by.items() if value(by)}

    def schedule(self, value: Any, given: Given) -> tuple[Problem, Schedule] | None:
        """The changed line and a schedule of it that the checker has accepted.

        None in the rare case that there is none: figures given anew in whole ticks may be
        a fraction of a tick off the model's, and for some orders of several hoists no ways
        are found.
        """
        problem = changed_by(self.problem, given)
        schedule = decode(self.variables, value)
        try:
            if self.instance.several is not None:
                travels = travels_of(self.instance, schedule)
                if travels is None:
                    return self._anew(problem, schedule.cycle)
                schedule = replace(schedule, travels=travels)
            accepted(problem, schedule, made_here=True)
        except Refused:
            return self._anew(problem, schedule.cycle)
        return problem, schedule

    def _anew(self, problem: Problem, longest: int) -> tuple[Problem, Schedule] | None:
        try:
            instance = build_instance(problem, self.instance.degree, self._clock, several=True)
        except (HoistoptError, OutOfTime):
            return None
        found = least_cycle(held_to(instance, longest), self._clock).schedule
        if found is None:
            return None
        accepted(problem, found, made_here=True)
        return problem, found


def changed_by(problem: Problem, given: Given) -> Problem:
    """The line with the new figures."""
    for limit, figure in given.items():
        problem = limit.changed(problem, figure)
    return problem


def _sum(terms: Sequence[Any]) -> Linear:
    return cp_model.LinearExpr.sum(list(terms)) if terms else 0
