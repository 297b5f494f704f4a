"""A schedule in whole units of a controller, checked again on those very numbers."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from ..base.errors import InputError
from ..checker import replay
from ..checker.plan import Plan, plan_of
from ..checker.reading.table import Table
from ..graph.from_replay import plan_graph
from ..graph.retiming import cycle_limits, on_grid, retimed
from ..problem import Problem
from ..schedule import Schedule, Step
from .units import TimeUnit


def in_whole_units(
    problem: Problem, strict: Problem, schedule: Schedule, unit: TimeUnit
) -> Schedule:
    """The same pattern of moves with every start and the cycle time in whole units.

    Times that are whole already stay as they are. Others are moved as little as the
    demands of the pattern allow; the cycle time becomes longer, or shorter, where it must.

    Parameters
    ----------
    problem, strict : Problem
        The line, and the same with its windows in whole units.
    schedule : Schedule
        One that the checker accepts on `problem`.
    unit : TimeUnit

    Returns
    -------
    Schedule
        One tick is one unit; every column is filled in. The checker has accepted it on
        both problems.

    Raises
    ------
    InputError
        When no timing of the pattern in whole units keeps every rule.
    """
    read = plan_of(Table(problem, schedule))
    steps = tuple(_filled(read, number) for number in range(len(schedule)))
    plan = plan_of(Table(strict, replace(schedule, steps=steps)))
    units = unit.per_unit_of(problem)
    exact = [schedule.time(step.start) * units for step in schedule]
    cycle = schedule.time(schedule.cycle) * units
    if cycle.denominator == 1 and all(start.denominator == 1 for start in exact):
        found = _timed(steps, int(cycle), [int(start) for start in exact], units)
        if accepted(found, problem, strict):
            return found
    moved = _retimed(plan, unit, exact, cycle, steps)
    if moved is not None and accepted(moved, problem, strict):
        return moved
    raise InputError(
        f"a time unit fine enough: in whole {unit.label} no timing of these moves keeps "
        "every window and leaves the hoist its time",
        field="time unit",
        value=unit.key,
        way_out="Choose a finer unit, or solve again with tick in the problem file set to it.",
    )


def accepted(schedule: Schedule, *problems: Problem) -> bool:
    """Whether the checker accepts a schedule on all of the problems."""
    return all(replay(problem, schedule).clean for problem in problems)


def _filled(plan: Plan, number: int) -> Step:
    """A step with what the checker saw it do."""
    leg, link = plan.legs[number], plan.links.get(number)
    assert leg is not None
    return replace(
        plan.table.steps[number],
        recipe=leg.recipe,
        load=plan.loads[number],
        stage=leg.leaves,
        boundaries=link.boundaries if link is not None and leg.leaves > 0 else None,
    )


def _timed(steps: tuple[Step, ...], cycle: int, starts: list[int], units: Fraction) -> Schedule:
    placed = (replace(step, start=start) for step, start in zip(steps, starts, strict=True))
    return Schedule(cycle, units, tuple(placed))


def _retimed(
    plan: Plan, unit: TimeUnit, exact: list[Fraction], cycle: Fraction, steps: tuple[Step, ...]
) -> Schedule | None:
    units = unit.per_unit_of(plan.table.problem)
    # With the carriers as planned: how many stand where is kept as well.
    graph = on_grid(plan_graph(plan, spare=False), units)
    least, most = cycle_limits(graph)
    if most is not None and least > most:
        raise InputError(
            f"limits of the cycle time with a whole number of {unit.label} between them",
            field="cycle, max",
            way_out="Choose a finer time unit.",
        )
    wanted = [round(start) for start in exact]
    found = retimed(graph, wanted, cycle)
    if found is None:
        return None
    whole, starts = found
    kept = [start - starts[0] + wanted[0] for start in starts]
    if max(kept) >= whole:
        kept = [start - starts[0] for start in starts]
    return _timed(steps, whole, kept, units)
