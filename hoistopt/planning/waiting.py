"""Loads that wait are placed among those that are promised, which are not touched."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import count

from ..base.clock import Clock
from ..base.decimals import told
from ..base.errors import InfeasibleError, InputError
from ..checker import ProgrammeReplay, accepted_programme
from ..instance import Route
from ..instance.build_finite import build_finite
from ..instance.finite import FiniteInstance
from ..problem import Problem
from ..schedule import LineState, Order, Programme
from ..schedule.orders import check_orders
from ..solver.finite import Programmed, add_loads, lower_bound
from .plan_result import Plan
from .planned import planned, without_programme


def place_next(
    problem: Problem,
    promised: Programme,
    orders: Sequence[Order],
    state: LineState | None = None,
    *,
    in_order: bool = False,
    lost: Sequence[int] = (),
) -> Plan:
    """Place waiting loads one after another, each out as early as can be, moving nothing else.

    What is promised keeps its times. Of the loads that wait the one that is out first among
    them comes next, or the next one of `orders`; each is placed exactly as early as the
    others leave room for, so the answer for the first of them is the best there is. It
    takes no search, and is there at once.

    Parameters
    ----------
    problem : Problem
        The line and its recipes.
    promised : Programme
        Moves from the state on that take every load in the line, and all that it lets
        enter, out of it; they break no rule. Their times are multiples of the tick.
    orders : sequence of Order
        Loads that wait.
    state : LineState, optional
        What stands where when the programme begins; by default the line is empty.
    in_order : bool
        Whether the waiting loads enter in the order of `orders`.
    lost : sequence of int
        Loads of the state that the promised programme, a recovery, gives up.

    Returns
    -------
    Plan
        With status "feasible": what is promised and the loads that waited, their numbers
        the next ones. Its bound holds for programmes that may move what is promised.

    Raises
    ------
    InputError
        When orders, state or programme make no sense, or what is promised leaves loads in
        the line.
    ProgrammeRefused
        When what is promised breaks a rule.

    Examples
    --------
    >>> import hoistopt
    >>> from hoistopt import Order
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> promised = hoistopt.plan(problem, [Order("Cases", count=2)]).programme
    >>> answer = hoistopt.place_next(problem, promised, [Order("Cases")])
    >>> sorted(answer.replay.out)
    [1, 2, 3]
    """
    clock = Clock()
    begins = (LineState() if state is None else state).numbered()
    seen = accepted_programme(problem, promised, begins, lost=lost)
    if seen.left:
        raise InputError(
            "a programme that takes every load out of the line",
            field="promised",
            value=f"load {min(seen.left)} is left in it",
        )
    check_orders(problem, orders)
    entered = [run for run in seen.runs if run.stage == 0]
    inside = [Order(run.recipe) for run in entered]
    try:
        instance = build_finite(problem, begins, [*inside, *orders], overdue=True, clock=clock)
    except InfeasibleError as error:
        return without_programme(problem, "infeasible", clock, f"{error}.")
    entering = [place for place, load in enumerate(instance.loads) if load.enters]
    place_of = {load.number: n for n, load in enumerate(instance.loads) if not load.enters}
    place_of |= {run.load: place for run, place in zip(entered, entering, strict=False)}
    fixed = _ways(problem, instance, seen, place_of)
    waiting = entering[len(entered) :]
    timing = add_loads(instance, fixed, waiting, in_order=in_order)
    if timing is None:
        reason = "Beside what is promised there is no way through the line for a load that waits."
        return without_programme(problem, "infeasible", clock, reason)
    numbers = {place: number for number, place in place_of.items()}
    fresh = count(max(numbers.values(), default=0) + 1)
    numbers |= {place: next(fresh) for place in waiting}
    loads = [replace(load, number=numbers[n]) for n, load in enumerate(instance.loads)]
    each = [order.order for order in orders for _ in range(order.count)]
    names = {numbers[place]: name for place, name in zip(waiting, each, strict=True)}
    named = replace(instance, loads=tuple(loads))
    found = Programmed("feasible", timing, lower_bound(instance))
    answer = planned(problem, named, begins, names, found, clock, lost)
    return replace(answer, promised=tuple(sorted(place_of)))


def _ways(
    problem: Problem, instance: FiniteInstance, seen: ProgrammeReplay, place_of: dict[int, int]
) -> dict[int, list[tuple[int, Route]]]:
    """Start and route of each promised move, by load of the instance.

    Raises
    ------
    InputError
        When a start is no multiple of the tick.
    """
    number = {station.name: place for place, station in enumerate(problem.stations)}
    found: dict[int, list[tuple[int, Route]]] = {}
    for run in seen.runs:
        if run.load not in place_of:  # it was being carried out of the line
            continue
        place = place_of[run.load]
        way = found.setdefault(place, [])
        start = run.start * instance.ticks_per_unit
        if start.denominator != 1:
            raise InputError(
                f"a multiple of the tick, {told(1 / instance.ticks_per_unit)} {problem.unit}",
                field=f"promised, step {run.step}, start",
                value=told(run.start),
            )
        move = instance.moves[instance.loads[place].moves[len(way)]]
        ends = number[run.source], number[run.target]
        route = next(r for r in move.routes if (r.source, r.target) == ends)
        way.append((int(start), route))
    return found
