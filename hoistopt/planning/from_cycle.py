"""Cycles to begin the search for a programme with: one filled and run out, or their paces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import reduce
from itertools import pairwise
from math import gcd

from ..base.clock import Clock
from ..base.effort import Effort
from ..base.errors import InputError
from ..checker import replay_programme
from ..instance import Route
from ..instance.finite import FiniteInstance
from ..problem import Problem
from ..schedule import LineState, Order, Programme, Schedule, Step, unroll
from ..solver.finite import Pace, Timing, Way
from .cycle import solve
from .result import Result
from .route_of import route_of, stations_numbered

CYCLE_SHARE, CYCLE_LIMIT = 0.15, 5.0
"""Share of the time, and most seconds, for a cycle to begin with."""
PACES_SHARE, PACE_SHARE, PACE_LIMIT = 0.25, 0.4, 5.0
"""Share of the time for the paces of all recipes; of what is left of it, and most seconds, for a
cycle of one of them."""
MOST_IN_SET = 12
"""Loads of a set for which a cycle is looked for."""


def from_cycle(
    problem: Problem,
    instance: FiniteInstance,
    state: LineState,
    orders: Sequence[Order],
    clock: Clock,
) -> list[Timing]:
    """The best cycle of the orders' mix, filled and run out, where an empty line begins."""
    each = [order.recipe for order in orders for _ in range(order.count)]
    counts = {name: each.count(name) for name in dict.fromkeys(each)}
    sets = reduce(gcd, counts.values(), 0)
    if (
        instance.promised
        or not state.empty
        or state.standing
        or sets < 2
        or len(each) // sets > MOST_IN_SET
    ):
        return []
    mix = {name: number // sets for name, number in counts.items()}
    part = clock.share(CYCLE_SHARE)
    limit = CYCLE_LIMIT if part.left is None else min(CYCLE_LIMIT, part.left)
    result = _cycle(problem, mix, limit, clock)
    if result is None or result.schedule is None:
        return []
    release = max(order.release for order in orders)
    later = (release * instance.ticks_per_unit).__ceil__()
    if instance.hoist is not None:
        later = max(later, *instance.hoist)
    programme = unroll(result.schedule, sets)
    steps = tuple(replace(step, start=later + step.start) for step in programme)
    moved = Programme(programme.ticks_per_unit, steps)
    # How several hoists give way is found for each programme that is kept.
    if instance.several is None and not replay_programme(problem, moved, state).clean:
        return []
    timing = _timing(problem, instance, moved)
    return [] if timing is None else [timing]


def paces(
    problem: Problem, instance: FiniteInstance, orders: Sequence[Order], clock: Clock
) -> dict[str, Pace]:
    """For each recipe of which several loads are ordered, how they follow in its best cycle.

    A cycle has as many loads as the largest group of parallel tanks; one, where none is found.
    """
    each = [order.recipe for order in orders for _ in range(order.count)]
    found: dict[str, Pace] = {}
    part = clock.share(PACES_SHARE)
    for name in dict.fromkeys(each):
        load = next(load for load in instance.entering() if load.recipe == name)
        group = max(len(instance.moves[index].targets) for index in load.moves)
        for degree in dict.fromkeys((group, 1)):
            left = part.share(PACE_SHARE).left
            if each.count(name) < max(2, degree) or part.over or name in found:
                continue
            limit = PACE_LIMIT if left is None else min(PACE_LIMIT, left)
            result = _cycle(problem, {name: 1}, limit, clock, degree)
            if result is None or result.schedule is None:
                continue
            pace = _pace(problem, instance, name, result.schedule)
            if pace is not None:
                found[name] = pace
    return found


def _pace(
    problem: Problem, instance: FiniteInstance, recipe: str, schedule: Schedule
) -> Pace | None:
    """The ways of the loads of a cycle, in whole ticks, in the order of entering."""
    number = stations_numbered(problem)
    per_tick = instance.ticks_per_unit / schedule.ticks_per_unit
    load = next(load for load in instance.entering() if load.recipe == recipe)
    moves = [instance.moves[index] for index in load.moves]
    loads: dict[int | None, list[Step]] = {}
    for step in unroll(schedule, 1):
        loads.setdefault(step.load, []).append(step)
    ways = []
    before: int | None = None
    entered = sorted(loads.values(), key=lambda steps: min(step.start for step in steps))
    last = max(min(step.start for step in steps) for steps in entered)
    for steps in entered:
        steps.sort(key=lambda step: step.stage or 0)
        if len(steps) != len(moves):
            return None
        starts = [(step.start * per_tick).__ceil__() for step in steps]
        places = tuple(number[step.target] for step in steps)
        dwells = []
        for (start, after), move, step in zip(pairwise(starts), moves, steps, strict=False):
            stay = instance.stay_after[move.index]
            route = route_of(instance, move.index, step, number)
            if route is None:
                return None
            dwell = max(after - start - route.duration, stay.least)
            dwells.append(dwell if stay.most is None else min(dwell, stay.most - route.shaved))
        if before is None:
            before = ((last - schedule.cycle) * per_tick).__ceil__()
        ways.append(Way(max(0, starts[0] - before), tuple(dwells), places))
        before = starts[0]
    return Pace(tuple(ways))


def _cycle(
    problem: Problem, mix: dict[str, int], limit: float, clock: Clock, degree: int = 1
) -> Result | None:
    """The best cycle of a mix found within so many seconds; None where that makes no sense."""
    try:
        line = Problem.from_data({**problem.to_data(), "cycle": {"mix": mix}})
        effort = Effort(max(limit, 0.01), clock.workers, clock.seed, clock.effort.stop)
        return solve(line, degree, effort=effort)
    except InputError:
        return None


def _timing(problem: Problem, instance: FiniteInstance, programme: Programme) -> Timing | None:
    """A programme's times, its loads taken for those of the instance in order of entering."""
    number = stations_numbered(problem)
    waiting: dict[str, list[int]] = {}
    for load in instance.entering():
        waiting.setdefault(load.recipe, []).append(instance.loads.index(load))
    jobs: dict[int, int] = {}
    starts: dict[int, int] = {}
    routes: dict[int, Route] = {}
    for step in programme:
        assert step.load is not None and step.recipe is not None and step.stage is not None
        if step.load not in jobs:
            jobs[step.load] = waiting[step.recipe].pop(0)
        move = instance.moves[instance.loads[jobs[step.load]].moves[step.stage]]
        route = route_of(instance, move.index, step, number)
        if route is None:
            return None
        starts[move.index], routes[move.index] = step.start, route
    count = range(len(instance.moves))
    if instance.sequence:
        firsts = [starts[load.moves[0]] for load in instance.entering()]
        if firsts != sorted(firsts):
            return None
    return Timing(tuple(starts[m] for m in count), tuple(routes[m] for m in count))
