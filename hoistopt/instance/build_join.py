"""Build the finite problems of going over into a cycle: one for each way of joining it.

At the joining every move of the cycle has its time, so the line must hold what the cycle
holds at that point: some load for each *role*, standing where the cycle has it. What differs
between the ways of joining is the move of the cycle that comes first, and which loads of the
state take a role; those that take none are out of the line before, and a role that none takes
is for a load that enters.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

from ..base.clock import Clock
from ..base.decimals import told
from ..base.errors import InputError
from ..problem import Problem
from ..schedule import LineState, Schedule
from ..schedule.programme import ways_of
from .build_finite import FiniteBuilder, used_recipes
from .data import Route
from .finite import FiniteInstance, FiniteLoad, Join

MOST_JOININGS = 8_000
"""Ways of joining that are all looked into; where there are more only some are."""


class Turn(NamedTuple):
    """A move of the cycle, in ticks from the beginning of the cycle its load enters in."""

    start: int
    source: int
    target: int


@dataclass(frozen=True, slots=True)
class Way:
    """The way of one load of the cycle: its moves by stage, from 0 on."""

    recipe: str
    turns: tuple[Turn, ...]


class Role(NamedTuple):
    """A load that the cycle has in the line at the joining.

    `way` counts the loads of a cycle, `cycle` is the one it entered in, from 0 down;
    its moves from stage `since` on are those of the cycle.
    """

    way: int
    cycle: int
    since: int


@dataclass(frozen=True, slots=True)
class Joining:
    """One way of joining a cycle.

    Attributes
    ----------
    begins : int
        When, in the cycle, it is joined: the start of the move that comes first.
    roles : tuple of Role
    taken : tuple of int or None
        For each load of the state its role, by number; None where it goes out first.
    """

    begins: int
    roles: tuple[Role, ...]
    taken: tuple[int | None, ...]


class JoinBuilder:
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
    overdue : bool
        Whether loads of the state that cannot be lifted in time are let pass.

    Attributes
    ----------
    complete : bool
        Whether :meth:`joinings` gives all ways of joining.

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
        *,
        overdue: bool = False,
    ) -> None:
        self.problem, self.state, self.clock = problem, state, clock
        self.complete = True
        carried = [step.recipe for step in schedule if step.recipe is not None]
        recipes = list(dict.fromkeys([*used_recipes(state), *carried]))
        self._builder = FiniteBuilder(problem, state, recipes, clock)
        self._builder.overdue = overdue
        self.grid = self._builder.grid
        self._number = self._builder.number
        self.cycle = self._ticks(schedule, schedule.cycle, "cycle_time")
        self.ways = tuple(self._ways(schedule))
        self._builder.loads_of_state()
        self.inside = tuple(self._builder.loads)
        self._stages = [self._builder.moves[load.moves[0]].stage for load in self.inside]
        self._ahead = self._tail()
        self._times = {name: self._least_times(job) for name, job in self._builder.jobs.items()}

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
                turns.append(Turn(start + restarts * self.cycle, *ends))
            yield Way(steps[0].recipe or "", tuple(turns))

    def _tail(self) -> int:
        """For how long after the joining the moves of the cycle meet those before it."""
        pattern = self._builder.pattern
        way = max((time for row in pattern.empty for time in row), default=0)
        moved = max(route.duration for move in pattern.moves for route in move.routes)
        stand = max(Fraction(station.min_occupation) for station in self.problem.stations)
        back = Fraction(self.problem.carriers.return_time)
        return way + moved + ((3 * stand + back) * self.grid).__ceil__() + self.cycle

    def _least_times(self, job: int) -> list[tuple[int, int]]:
        """By stage: least ticks of the move out of it, and of the dwell after that move."""
        pattern = self._builder.pattern
        return [
            (move.shortest, stay.least if (stay := pattern.stay_after.get(move.index)) else 0)
            for move in pattern.moves
            if move.job == job
        ]

    # -- the ways of joining -------------------------------------------------------------

    def joinings(self) -> list[Joining]:
        """All ways of joining, or some of them; see `complete`."""
        begins = sorted(turn.start % self.cycle for way in self.ways for turn in way.turns)
        found: list[Joining] = []
        for time in begins:
            self.clock.check()
            roles = self._roles(time)
            for taken in self._taken(roles):
                found.append(Joining(time, roles, taken))
                if len(found) > MOST_JOININGS:
                    self.complete = False
                    return self._in_order(begins)
        return found

    def _in_order(self, begins: Sequence[int]) -> list[Joining]:
        """Ways of joining in which the loads of the state, in the order of their progress, take
        roles next to one another in theirs."""
        found: dict[Joining, None] = {}
        progress = sorted(range(len(self.inside)), key=lambda n: (-self._stages[n], n))
        for time in begins:
            roles = self._roles(time)
            for shift in range(-len(roles), len(progress) + 1):
                taken: list[int | None] = [None] * len(progress)
                for recipe in {way.recipe for way in self.ways}:
                    loads = [n for n in progress if self.inside[n].recipe == recipe]
                    open_ = [k for k, r in enumerate(roles) if self.ways[r.way].recipe == recipe]
                    for place, load in enumerate(loads):
                        if 0 <= place - shift < len(open_):
                            role = open_[place - shift]
                            if self._fits(load, roles[role]):
                                taken[load] = role
                found[Joining(time, roles, tuple(taken))] = None
        return list(found)

    def bound(self, joining: Joining) -> tuple[int, int]:
        """Bounds on changeover time, 0 where that is not asked, and joining; no problem is built.

        Every load takes its least times up to its first move of the cycle, and the hoist
        makes all moves before one after another.
        """
        least = work = 0
        for load, taken in enumerate(joining.taken):
            role = None if taken is None else joining.roles[taken]
            ready, stage = self.inside[load].earliest, self._stages[load]
            on_time, moved = self._least(self.inside[load].recipe, stage, ready, joining, role)
            least, work = max(least, on_time), work + moved
        for number, role in enumerate(joining.roles):
            if number not in joining.taken:
                recipe = self.ways[role.way].recipe
                on_time, moved = self._least(recipe, 0, 0, joining, role)
                least, work = max(least, on_time), work + moved
        carried = {way.recipe for way in self.ways}
        asked = any(
            taken is None
            and load.recipe not in carried
            and stage <= len(self.problem.recipe_by_name[load.recipe].stages)
            for load, stage, taken in zip(self.inside, self._stages, joining.taken, strict=True)
        )
        return (self._first_out(joining.begins) if asked else 0), max(least, work)

    def least_bound(self) -> int:
        """No way of joining whatever is earlier: each role is taken by whoever can be soonest."""
        found = []
        for begins in {turn.start % self.cycle for way in self.ways for turn in way.turns}:
            roles = self._roles(begins)
            joining, least = Joining(begins, roles, ()), 0
            for role in roles:
                recipe = self.ways[role.way].recipe
                soonest = [self._least(recipe, 0, 0, joining, role)[0]]
                for load, stage in enumerate(self._stages):
                    if self._fits(load, role):
                        ready = self.inside[load].earliest
                        soonest.append(self._least(recipe, stage, ready, joining, role)[0])
                least = max(least, min(soonest))
            found.append(least)
        return min(found)

    def _least(
        self, recipe: str, stage: int, ready: int, joining: Joining, role: Role | None
    ) -> tuple[int, int]:
        """Bound on the joining for the sake of one load, and work of the hoist before."""
        moves = self._times[recipe]
        if role is None:
            return ready + sum(m + s for m, s in moves[stage:]), sum(m for m, _ in moves[stage:])
        before = moves[stage : role.since]
        turn = self.ways[role.way].turns[role.since]
        after = turn.start + role.cycle * self.cycle - joining.begins
        return ready + sum(m + s for m, s in before) - after, sum(m for m, _ in before)

    def _roles(self, begins: int) -> tuple[Role, ...]:
        """The roles at a time of the cycle, the one furthest on its way first."""
        roles = []
        for number, way in enumerate(self.ways):
            cycle = 0
            while way.turns[-1].start + cycle * self.cycle >= begins:
                since = sum(turn.start + cycle * self.cycle < begins for turn in way.turns)
                if since:
                    roles.append(Role(number, cycle, since))
                cycle -= 1
        return tuple(sorted(roles, key=lambda role: (-role.since, role.cycle, role.way)))

    def _taken(self, roles: Sequence[Role]) -> Iterator[tuple[int | None, ...]]:
        """Every choice of roles for the loads of the state."""
        chosen: list[int | None] = []

        def choose() -> Iterator[tuple[int | None, ...]]:
            load = len(chosen)
            if load == len(self.inside):
                yield tuple(chosen)
                return
            open_ = [
                n for n, role in enumerate(roles) if n not in chosen and self._fits(load, role)
            ]
            for number in [*open_, None]:
                chosen.append(number)
                yield from choose()
                chosen.pop()

        yield from choose()

    def _fits(self, load: int, role: Role) -> bool:
        one, way = self.inside[load], self.ways[role.way]
        if one.recipe != way.recipe or self._stages[load] > role.since:
            return False
        stands = self._stages[load] == role.since
        return not stands or way.turns[role.since].source == one.place

    # -- the problem of one of them ------------------------------------------------------

    def build(self, joining: Joining) -> FiniteInstance | None:
        """The finite problem of a way of joining; None where no move leads into a role."""
        builder = self._builder
        builder.begin()
        builder.loads_of_state()
        tied: dict[int, int] = {}
        usual: dict[int, tuple[int, int, int]] = {}
        of_load = dict(enumerate(joining.taken))
        number = max(self.state.loads, default=0)
        for place, role in enumerate(joining.roles):
            if place not in joining.taken:
                number += 1
                of_load[len(builder.loads)] = place
                builder.add(FiniteLoad(number, self.ways[role.way].recipe, (), 0, None), 0)
                shift = role.cycle * self.cycle - joining.begins
                for index, turn in zip(
                    builder.loads[-1].moves, self.ways[role.way].turns, strict=True
                ):
                    if builder.moves[index].stage < role.since:
                        usual[index] = (turn.start + shift, turn.source, turn.target)
        for load, taken in of_load.items():
            if taken is not None and not self._tie(load, joining, joining.roles[taken], tied):
                return None
        for role in self._following(joining.begins):
            number += 1
            builder.add(FiniteLoad(number, self.ways[role.way].recipe, (), 0, None), 0)
            if not self._tie(len(builder.loads) - 1, joining, role, tied):
                return None
        first_out, leaving = self._first_out(joining.begins), self._leaving(joining)
        join = Join(tied, first_out, leaving, usual)
        return replace(builder.instance(in_order=False), join=join)

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
                routes = tuple(r for r in routes if (r.source, r.target) == turn[1:])
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

    def _first_out(self, begins: int) -> int:
        """Ticks from the joining until a load of the cycle is out."""
        found = []
        for way in self.ways:
            stage = len(self.problem.recipe_by_name[way.recipe].stages)
            turn = way.turns[stage]
            job = self._builder.jobs[way.recipe]
            move = next(
                move
                for move in self._builder.pattern.moves
                if move.job == job and move.stage == stage
            )
            route = next(r for r in move.routes if (r.source, r.target) == turn[1:])
            found.append((turn.start - begins) % self.cycle + route.duration)
        return min(found)

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
