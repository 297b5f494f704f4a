"""Cycles to begin the search for a programme with: one filled and run out, or their paces."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from functools import reduce
from itertools import pairwise
from math import gcd

from ..base.clock import Clock
from ..base.effort import Effort
from ..base.errors import InputError
from ..checker import replay_programme
from ..instance.finite import FiniteInstance
from ..problem import Problem
from ..schedule import LineState, Order, Schedule, Step, unroll
from ..solver.finite import Pace, Timing, Way, travels_once
from ..solver.finite.joining.placing import settled
from .at_pace import at_pace, slots_of
from .cycle import solve
from .planned import programme_of, route_of, stations_numbered
from .result import Result

CYCLE_SHARE, CYCLE_LIMIT = 0.15, 5.0
"""Share of the time, and most seconds, for a cycle to begin with."""
SEVERAL_SHARE, SEVERAL_LIMIT = 0.3, 10.0
"""That share and limit for several hoists, whose first good cycle takes longer to find."""
PACES_SHARE, PACE_SHARE, PACE_LIMIT = 0.25, 0.4, 5.0
"""Share of the time for the paces of all recipes; of what is left of it, and most seconds, for a
cycle of one of them."""
PLACING_SHARE = 0.15
"""Of the time left, for the beginnings of the cycle that the checker is asked about."""
LEAST_SETS = 1.5
"""Sets of loads in the orders from which on it is worth the time to look for a cycle."""
MOST_IN_SET = 12
"""Loads of a set for which a cycle is looked for."""


def from_cycle(
    problem: Problem,
    instance: FiniteInstance,
    state: LineState,
    orders: Sequence[Order],
    clock: Clock,
    fixed: Timing | None = None,
    lost: Sequence[int] = (),
) -> list[Timing]:
    """The best cycle of the orders' mix, filled and run out with their loads.

    Parameters
    ----------
    problem : Problem
    instance : FiniteInstance
        Of the state and the orders.
    state : LineState
    orders : sequence of Order
    clock : Clock
    fixed : Timing, optional
        A programme that breaks no rule, of which all loads that are promised, or in the line,
        keep their times. Needed where there are any.
    lost : sequence of int
        Loads of the state that may stand longer than a maximum.

    Returns
    -------
    list of Timing
        One at the most, which the checker has accepted.
    """
    each = [order.recipe for order in orders for _ in range(order.count)]
    mix = _mix(Counter(each), exact=instance.several is None)
    others = [n for n, load in enumerate(instance.loads) if load not in instance.entering()]
    if mix is None or (others and fixed is None):
        return []
    share, most = (
        (CYCLE_SHARE, CYCLE_LIMIT) if instance.several is None else (SEVERAL_SHARE, SEVERAL_LIMIT)
    )
    part = clock.share(share)
    result = _cycle(problem, mix, most if part.left is None else min(most, part.left), clock)
    if result is None or result.schedule is None:
        return []
    ways = {}
    if fixed is not None:
        ways = {
            n: [(fixed.starts[m], fixed.routes[m]) for m in instance.loads[n].moves] for n in others
        }
    out = max((way[-1][0] + way[-1][1].duration for way in ways.values()), default=0)
    slots = slots_of(problem, instance, result.schedule)
    every = result.schedule.cycle * instance.ticks_per_unit / result.schedule.ticks_per_unit

    def accepts(timing: Timing) -> bool:
        travels = travels_once(instance, timing)
        if travels is None:
            return False
        programme = programme_of(problem, instance, timing, travels)
        return replay_programme(problem, programme, state, lost).clean

    free = out + settled(instance, bool(ways))
    found = at_pace(
        instance, slots, every.__ceil__(), ways, free, accepts, clock.share(PLACING_SHARE)
    )
    return [] if found is None else [found]


def _mix(counts: Mapping[str, int], *, exact: bool) -> dict[str, int] | None:
    """The loads of a cycle, more than once in the orders; None where there is no such.

    What is not `exact` has some recipes a little more, or less, often than they are ordered.
    """
    whole, least = reduce(gcd, counts.values(), 0), min(counts.values(), default=0)
    if whole < 2 and not exact:
        whole = least
    if sum(counts.values()) < 2 or (whole < 2 and (exact or len(counts) < 2)):
        return None
    mix = {name: max(1, round(number / whole)) for name, number in counts.items()}
    total = sum(mix.values())
    return mix if total <= MOST_IN_SET and LEAST_SETS * total <= sum(counts.values()) else None


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
