"""Cycles to begin the search for a programme with: one filled and run out, or their paces."""

from __future__ import annotations

from collections.abc import Sequence
from functools import reduce
from math import gcd

from ..base.clock import Clock
from ..base.effort import Effort
from ..base.errors import InputError
from ..checker import replay_programme
from ..instance import Route
from ..instance.finite import FiniteInstance
from ..problem import Problem
from ..schedule import LineState, Order, Programme, Schedule, Step, unroll
from ..solver.finite import Pace, Timing
from .cycle import solve
from .result import Result

CYCLE_SHARE, CYCLE_LIMIT = 0.15, 5.0
"""Share of the time, and most seconds, for a cycle to begin with."""
PACE_SHARE, PACE_LIMIT = 0.05, 2.0
"""Share of the time, and most seconds, for the pace of one recipe."""
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
    if not state.empty or state.standing or sets < 2 or len(each) // sets > MOST_IN_SET:
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
    steps = tuple(
        Step(later + s.start, s.source, s.target, s.recipe, s.load, s.stage) for s in programme
    )
    moved = Programme(programme.ticks_per_unit, steps)
    if not replay_programme(problem, moved, state).clean:
        return []
    timing = _timing(problem, instance, moved)
    return [] if timing is None else [timing]


def paces(
    problem: Problem, instance: FiniteInstance, orders: Sequence[Order], clock: Clock
) -> dict[str, Pace]:
    """For each recipe of which several loads are ordered, how they follow in its best cycle."""
    each = [order.recipe for order in orders for _ in range(order.count)]
    found: dict[str, Pace] = {}
    for name in dict.fromkeys(each):
        left = clock.share(PACE_SHARE).left
        if each.count(name) < 2 or clock.over:
            continue
        result = _cycle(problem, {name: 1}, PACE_LIMIT if left is None else left, clock)
        if result is not None and result.schedule is not None:
            pace = _pace(instance, name, result.schedule)
            if pace is not None:
                found[name] = pace
    return found


def _pace(instance: FiniteInstance, recipe: str, schedule: Schedule) -> Pace | None:
    """The dwells of the load of a cycle, in whole ticks, and the cycle time."""
    per_tick = instance.ticks_per_unit / schedule.ticks_per_unit
    steps = sorted(unroll(schedule, 1), key=lambda step: step.stage or 0)
    load = next(load for load in instance.entering() if load.recipe == recipe)
    moves = [instance.moves[index] for index in load.moves]
    if len(steps) != len(moves):
        return None
    starts = [(step.start * per_tick).__ceil__() for step in steps]
    dwells = [
        min(max(after - start - move.shortest, stay.least), stay.most or after)
        for start, after, move in zip(starts, starts[1:], moves, strict=False)
        for stay in [instance.stay_after[move.index]]
    ]
    return Pace(tuple(dwells), (schedule.cycle * per_tick).__ceil__())


def _cycle(problem: Problem, mix: dict[str, int], limit: float, clock: Clock) -> Result | None:
    """The best cycle of a mix found within so many seconds; None where that makes no sense."""
    try:
        line = Problem.from_data({**problem.to_data(), "cycle": {"mix": mix}})
        effort = Effort(max(limit, 0.01), clock.workers, clock.seed, clock.effort.stop)
        return solve(line, effort=effort)
    except InputError:
        return None


def _timing(problem: Problem, instance: FiniteInstance, programme: Programme) -> Timing | None:
    """A programme's times, its loads taken for those of the instance in order of entering."""
    number = {station.name: place for place, station in enumerate(problem.stations)}
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
        ends = number[step.source], number[step.target]
        fitting = [route for route in move.routes if (route.source, route.target) == ends]
        if not fitting:
            return None
        starts[move.index], routes[move.index] = step.start, fitting[0]
    count = range(len(instance.moves))
    if instance.in_order:
        firsts = [starts[load.moves[0]] for load in instance.entering()]
        if firsts != sorted(firsts):
            return None
    return Timing(tuple(starts[m] for m in count), tuple(routes[m] for m in count))
