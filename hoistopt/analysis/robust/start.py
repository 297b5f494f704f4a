"""The least cycle that searches for more margin start from: found, or given."""

from __future__ import annotations

from fractions import Fraction

from ...base.effort import Effort
from ...base.errors import InputError
from ...checker import accepted
from ...graph.pattern import degree_of, pattern_of
from ...graph.retiming import schedule_of
from ...instance import Instance, build_instance
from ...planning.cycle import solve
from ...planning.result import Result
from ...problem import Problem
from ...schedule import Schedule, readable
from ...solver.model.build import lowest_cycle


def least_of(
    problem: Problem, degree: int, start: Result | Schedule | None, effort: Effort
) -> Result:
    """The result to start from.

    Parameters
    ----------
    degree : int
        Sets of loads per cycle, where nothing is given.
    start : Result or Schedule, optional
        A result of the same problem is taken as it is. A schedule counts as the shortest
        known, with the bound that needs no search.
    effort : Effort
        For the search, where nothing is given.

    Raises
    ------
    InputError
        When the schedule is none of the line's, or does not lie on its ticks.
    Refused
        When it breaks a rule.
    """
    if start is None:
        return solve(problem, degree, effort=effort)
    if isinstance(start, Result):
        if start.schedule is None or start.problem == problem:
            return start
        start = start.schedule
    seen = accepted(problem, start)
    instance = build_instance(problem, degree_of(problem, start), several=True)
    schedule = _on_ticks(problem, instance, start)
    return Result(
        status="feasible",
        cycle_time=schedule.cycle_time,
        lower_bound=readable(lowest_cycle(instance) / instance.ticks_per_unit),
        degree=instance.degree,
        loads_per_cycle=instance.jobs,
        schedule=schedule,
        runtime=0.0,
        replay=accepted(problem, schedule, seen if schedule == start else None),
        problem=problem,
    )


def _on_ticks(problem: Problem, instance: Instance, given: Schedule) -> Schedule:
    """The same schedule on the grid of the instance, the first load's first move at 0."""
    scale = instance.ticks_per_unit / given.ticks_per_unit
    times = [Fraction(step.start) * scale for step in given.steps]
    cycle = given.cycle * scale
    if cycle.denominator != 1 or any(time.denominator != 1 for time in times):
        raise InputError(
            "starts and a cycle time in whole ticks of the line",
            field="start",
            value=f"{1 / given.ticks_per_unit} {problem.unit} a tick",
            way_out=f"A tick of the line is {float(1 / instance.ticks_per_unit):g} {problem.unit}; "
            "state a finer tick in the problem.",
        )
    if instance.several is not None:
        if given.ticks_per_unit != instance.ticks_per_unit:
            raise InputError(
                "a schedule in ticks of the line, with several hoists",
                field="start",
                value=f"{1 / given.ticks_per_unit} {problem.unit} a tick",
            )
        return given
    pattern = pattern_of(problem, instance, given)
    starts = [int(times[step]) for step in pattern.steps]
    return schedule_of(instance, pattern, starts, int(cycle))
