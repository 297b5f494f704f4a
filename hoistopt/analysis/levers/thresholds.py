"""How far limits must give way before the cycle gets shorter: the limit as a variable."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from ortools.sat.python import cp_model

from ...base.clock import Clock, OutOfTime
from ...base.errors import HoistoptError
from ...conflict.giving import Giving, changed_by
from ...conflict.soft import held_to
from ...instance import Instance, build_instance
from ...instance.limits import Limit
from ...problem import Problem
from ...schedule import Schedule
from ...solver import run_model
from ...solver.model.constraints.symmetry import shortest_headway_first
from .today import Today, order_of


@dataclass(frozen=True)
class Reached:
    """A limit that gains by giving way by so many ticks, with a schedule that proves it."""

    limit: Limit
    ticks: int
    schedule: Schedule


def helpers(today: Today, limits: Sequence[Limit], clock: Clock) -> Iterator[Reached | None]:
    """Limits of which one alone makes the cycle shorter than today's, one after another.

    All are looked at in one model, in which any one of them may give way. When the
    iteration ends, it is proved that no other limit does, however far it may go; None as
    the last says that the clock was over before.
    """
    held = held_to(today.instance, today.cycle - 1)
    try:
        giving = Giving(today.problem, held, limits, clock)
    except OutOfTime:
        yield None
        return
    giving.one_at_most()
    shortest_headway_first(giving.variables)
    model = giving.variables.model
    for _ in limits:
        status, solver = _run(model, clock)
        if status not in ("optimal", "feasible"):
            break
        given = giving.given(solver.value)
        made = giving.schedule(solver.value, given)
        if made is None or len(given) != 1:
            yield None
            return
        (limit,) = given
        yield Reached(limit, solver.value(giving.by[limit]), made[1])
        model.add(giving.by[limit] == 0)
    else:
        return
    if status != "infeasible":
        yield None


def in_order(today: Today, found: Reached, clock: Clock) -> Reached:
    """The fewest ticks with which the order of moves found is quicker than today, by halving.

    Of a quicker move fewer ticks may not help where more do; what is given back helps.
    """
    try:
        problem, instance = _changed(today, found.limit, found.ticks, clock)
        order = order_of(problem, instance, found.schedule)
    except (HoistoptError, OutOfTime):
        return found
    low, best = 0, found
    while best.ticks - low > 1 and not clock.over:
        middle = (low + best.ticks) // 2
        try:
            schedule = today.retimed(
                *_changed(today, found.limit, middle, clock), order, clock=clock
            )
        except (HoistoptError, OutOfTime):
            schedule = None
        if schedule is None:
            low = middle
        else:
            best = Reached(found.limit, middle, schedule)
    return best


def _changed(today: Today, limit: Limit, ticks: int, clock: Clock) -> tuple[Problem, Instance]:
    """The line with a limit given way by so many ticks."""
    figure = limit.stepped(ticks, today.instance.ticks_per_unit)
    problem = changed_by(today.problem, {limit: figure})
    return problem, build_instance(problem, today.instance.degree, clock, several=True)


def least_ticks(today: Today, found: Reached, clock: Clock) -> tuple[int, Reached]:
    """The fewest ticks that make the cycle shorter: a proved bound, and the fewest found."""
    if found.ticks <= 1:
        return found.ticks, found
    held = held_to(today.instance, today.cycle - 1)
    try:
        giving = Giving(today.problem, held, [found.limit], clock)
    except OutOfTime:
        return 1, found
    model, by = giving.variables.model, giving.by[found.limit]
    shortest_headway_first(giving.variables)
    model.add(by < found.ticks)
    model.minimize(by)
    status, solver = _run(model, clock)
    if status == "infeasible":
        return found.ticks, found
    if status == "unknown":
        return 1, found
    proved = max(1, ceil(solver.best_objective_bound - 1e-6))
    made = giving.schedule(solver.value, giving.given(solver.value))
    if made is None:
        return min(proved, found.ticks), found
    return proved, Reached(found.limit, solver.value(by), made[1])


def _run(model: cp_model.CpModel, clock: Clock) -> tuple[str, cp_model.CpSolver]:
    """Run CP-SAT plainly for most of the time, which suits models bound so tightly."""
    status, solver = run_model(model, clock.share(0.7), plainly=True)
    if status in ("optimal", "infeasible"):
        return status, solver
    again, other = run_model(model, clock)
    return (status, solver) if again == "unknown" else (again, other)
