"""Build the finite problems of going over into a cycle: one for each way of joining it.

At the joining every move of the cycle has its time, so the line must hold what the cycle
holds at that point: some load for each *role*, standing where the cycle has it. What differs
between the ways of joining is the move of the cycle that comes first, and which loads of the
state take a role; those that take none are out of the line before, and a role that none takes
is for a load that enters.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from ..base.clock import Clock
from ..base.errors import InputError
from ..base.numbers.decimals import told
from ..problem import Problem
from ..schedule import LineState, Order, Schedule
from ..schedule.programme import ways_of
from .build_finite import FiniteBuilder, used_recipes
from .data import Route
from .finite import FiniteInstance, FiniteLoad, reach_of
from .join import Join, Onward
from .promised import Promise
from .ways_of_joining import Joining, Role, Turn, Way, WaysOfJoining


class JoinBuilder(WaysOfJoining):
    """Builds the finite problems of joining a cycle from a state.

    Parameters
    ----------
    problem : Problem
    state : LineState
        Checked, every load with its number.
    schedule : Schedule
        A cycle that breaks no rule, every step of which names recipe, load, stage and
        boundaries.
    clock : Clock
    orders : sequence of Order
        Checked. Their loads are out before the joining or take a role.
    in_order : bool
        Whether these loads enter in the order of the orders.
    promise : Promise, optional
        Moves that keep their times, of loads that are all out before the joining.
    overdue : bool
        Whether loads of the state that cannot be lifted in time are let pass.

    Raises
    ------
    InputError
        When a start of the cycle is no multiple of the tick.
    InfeasibleError
        When a load cannot go its way at all, or one of the state cannot be lifted in time.
    OutOfTime
        When the clock is over.
    """

    def __init__(
        self,
        problem: Problem,
        state: LineState,
        schedule: Schedule,
        clock: Clock,
        orders: Sequence[Order] = (),
        *,
        in_order: bool = False,
        overdue: bool = False,
        promise: Promise | None = None,
    ) -> None:
        self.problem, self.state = problem, state
        carried = [step.recipe for step in schedule if step.recipe is not None]
        recipes = list(dict.fromkeys([*used_recipes(state, orders, promise), *carried]))
        self._builder = FiniteBuilder(problem, state, recipes, clock, promise)
        self._builder.overdue |= overdue
        self._sequence_given = in_order
        self.grid = self._builder.grid
        self._number = self._builder.number
        self.cycle = self._ticks(schedule, schedule.cycle, "cycle_time")
        self._orders = orders
        self._hoists = {hoist.name: n for n, hoist in enumerate(problem.hoists)}
        several = self._builder.pattern.several is not None
        self._given_loads()
        inside = tuple(self._builder.loads)
        promised = range(0 if promise is None else len(inside) - len(self._builder.ordered))
        super().__init__(
            clock,
            self.cycle,
            tuple(self._ways(schedule)),
            inside,
            [self._builder.moves[load.moves[0]].stage for load in inside],
            {name: self._least_times(job) for name, job in self._builder.jobs.items()},
            {name: self._most_times(job) for name, job in self._builder.jobs.items()},
            {recipe.name: len(recipe.stages) for recipe in problem.recipes},
            out_first=promised,
            like=not in_order,
            several=several,
        )
        self._ahead = self._tail()
        self._travels = tuple(
            (schedule.time(travel.start) * self.grid, self._hoists[travel.hoist], travel.to)
            for travel in schedule.travels
        )

    def _given_loads(self) -> None:
        """Add the loads of the state, those promised and those ordered, alike ones one after
        another."""
        self._builder.loads_of_state()
        self._builder.loads_of_promise()
        self._builder.loads_of_orders(self._orders)

    def _ticks(self, schedule: Schedule, ticks: int, field: str) -> int:
        time = schedule.time(ticks) * self.grid
        if time.denominator != 1:
            raise InputError(
                f"a multiple of the tick, {told(1 / self.grid)} {self.problem.unit}",
                field=field,
                value=told(schedule.time(ticks)),
                way_out='Give the line a finer tick ("tick = ..."), or solve the cycle on it.',
            )
        return int(time)

    def _ways(self, schedule: Schedule) -> Iterator[Way]:
        for steps in ways_of(schedule).values():
            restarts, turns = 0, []
            for step in steps:
                restarts += step.boundaries or 0
                start = self._ticks(schedule, step.start, f"start of the move from {step.source}")
                ends = self._number[step.source], self._number[step.target]
                hoist = self._hoists.get(step.hoist, 0)
                turns.append(Turn(start + restarts * self.cycle, *ends, hoist))
            recipe = steps[0].recipe or ""
            yield Way(recipe, tuple(turns), self._out(recipe, turns))

    def _out(self, recipe: str, turns: Sequence[Turn]) -> int:
        """Ticks of the move that sets a load down out of the line, as the cycle makes it."""
        stage = len(self.problem.recipe_by_name[recipe].stages)
        job = self._builder.jobs[recipe]
        moves = self._builder.pattern.moves
        move = next(move for move in moves if move.job == job and move.stage == stage)
        return next(r.duration for r in move.routes if turns[stage].made_by(r))

    def _tail(self) -> int:
        """For how long after the joining the moves of the cycle meet those before it."""
        pattern = self._builder.pattern
        way = reach_of(pattern)
        moved = max(route.duration for move in pattern.moves for route in move.routes)
        stand = max(Fraction(station.min_occupation) for station in self.problem.stations)
        rest = max(Fraction(station.min_rest) for station in self.problem.stations)
        back = max(3 * stand + Fraction(self.problem.carriers.return_time), rest)
        return way + moved + (back * self.grid).__ceil__() + self.cycle

    def _least_times(self, job: int) -> list[tuple[int, int]]:
        """By stage: least ticks of the move out of it, and of the dwell after that move."""
        pattern = self._builder.pattern
        return [
            (move.shortest, stay.least if (stay := pattern.stay_after.get(move.index)) else 0)
            for move in pattern.moves
            if move.job == job
        ]

    def _most_times(self, job: int) -> list[tuple[int, int | None]]:
        """By stage: most ticks of the move out of it, and of the dwell after that move."""
        pattern = self._builder.pattern
        return [
            (
                max(route.duration for route in move.routes),
                0 if (stay := pattern.stay_after.get(move.index)) is None else stay.most,
            )
            for move in pattern.moves
            if move.job == job
        ]

    # -- the problem of one of them ------------------------------------------------------

    def build(self, joining: Joining) -> FiniteInstance | None:
        """The finite problem of a way of joining; None where no move leads into a role."""
        builder = self._builder
        builder.begin()
        self._given_loads()
        tied: dict[int, int] = {}
        usual: dict[int, tuple[int, Route]] = {}
        of_load = dict(enumerate(joining.taken))
        number = max([*self.state.loads, *(load.number for load in builder.loads)], default=0)
        for place, role in enumerate(joining.roles):
            if place not in joining.taken:
                number += 1
                of_load[len(builder.loads)] = place
                builder.add(FiniteLoad(number, self.ways[role.way].recipe, (), 0, None), 0)
                shift = role.cycle * self.cycle - joining.begins
                for index, turn in zip(
                    builder.loads[-1].moves, self.ways[role.way].turns, strict=True
                ):
                    move = builder.moves[index]
                    meant = next((r for r in move.routes if turn.made_by(r)), None)
                    if move.stage < role.since and meant is not None:
                        usual[index] = turn.start + shift, meant
        for load, taken in of_load.items():
            if taken is not None and not self._tie(load, joining, joining.roles[taken], tied):
                return None
        for role in self._following(joining.begins):
            number += 1
            builder.add(FiniteLoad(number, self.ways[role.way].recipe, (), 0, None), 0)
            if not self._tie(len(builder.loads) - 1, joining, role, tied):
                return None
        first_out, leaving = self._first_out(joining.begins), self._leaving(joining)
        join = Join(tied, first_out, leaving, usual, self._onward(joining.begins))
        return replace(builder.instance(in_order=self._sequence_given), join=join)

    def _onward(self, begins: int) -> Onward | None:
        """What several hoists do in a cycle, from a time of it on."""
        pattern = self._builder.pattern
        if pattern.several is None:
            return None
        routes = {
            (self._builder.pattern.recipes[move.job], move.stage): move.routes
            for move in pattern.moves
        }
        moves = tuple(
            (
                (turn.start - begins) % self.cycle,
                next(r for r in routes[way.recipe, stage] if turn.made_by(r)),
            )
            for way in self.ways
            for stage, turn in enumerate(way.turns)
        )
        travels = tuple(
            ((start - begins) % self.cycle, hoist, to) for start, hoist, to in self._travels
        )
        return Onward(self.cycle, tuple(sorted(moves, key=_time)), tuple(sorted(travels)))

    def _following(self, begins: int) -> list[Role]:
        """Loads that enter after the joining, as long as what was before matters to them."""
        found = []
        for number, way in enumerate(self.ways):
            cycle = 0 if way.turns[0].start >= begins else 1
            while (start := way.turns[0].start + cycle * self.cycle) <= begins + self._ahead:
                found.append((start, Role(number, cycle, 0)))
                cycle += 1
        return [role for _, role in sorted(found)]

    def _tie(self, load: int, joining: Joining, role: Role, tied: dict[int, int]) -> bool:
        """Give a load the times and ways of its role; whether there are such ways."""
        builder, way = self._builder, self.ways[role.way]
        shift = role.cycle * self.cycle - joining.begins
        for index in builder.loads[load].moves:
            move = builder.moves[index]
            routes: tuple[Route, ...] = move.routes
            if move.stage >= role.since:
                turn = way.turns[move.stage]
                tied[index] = turn.start + shift
                routes = tuple(r for r in routes if turn.made_by(r))
            elif move.stage == role.since - 1:
                routes = tuple(r for r in routes if r.target == way.turns[role.since].source)
            if not routes:
                return False
            builder.moves[index] = replace(move, routes=routes)
        mine = set(builder.loads[load].moves)
        for number, stay in enumerate(builder.stays):
            if stay.arrival in mine:
                targets = builder.moves[stay.arrival].targets
                places = tuple(place for place in stay.places if place in targets)
                builder.stays[number] = replace(stay, places=places)
        return True

    def _leaving(self, joining: Joining) -> frozenset[int]:
        carried = {way.recipe for way in self.ways}
        loads = [
            load
            for load, taken in zip(self._builder.loads, joining.taken, strict=False)
            if taken is None and load.recipe not in carried
        ]
        return frozenset(
            move for load in loads for move in load.moves if move in self._builder.outlets
        )


def _time(made: tuple[int, Route]) -> int:
    return made[0]
