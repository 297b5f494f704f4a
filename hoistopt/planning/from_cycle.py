"""A cycle, filled and run out, as a programme to begin a search with."""

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
from ..schedule import LineState, Order, Programme, Step, unroll
from ..solver.finite import Timing
from .cycle import solve

CYCLE_SHARE, CYCLE_LIMIT = 0.15, 5.0
"""Share of the time, and most seconds, for a cycle to begin with."""
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
    try:
        line = Problem.from_data({**problem.to_data(), "cycle": {"mix": mix}})
        effort = Effort(max(limit, 0.01), clock.workers, clock.seed, clock.effort.stop)
        result = solve(line, effort=effort)
    except InputError:
        return []
    if result.schedule is None:
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
