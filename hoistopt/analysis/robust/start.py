"""The least cycle that searches for more margin start from: found, or given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import partial

from ...base.clock import Clock
from ...base.effort import Effort
from ...base.errors import InputError
from ...checker import Replay, accepted
from ...graph.kept_margin import keeps_margins
from ...graph.pattern import degree_of, pattern_of
from ...graph.retiming import schedule_of
from ...graph.spread_margin import drawn_out
from ...instance import Instance, build_instance
from ...instance.margins import Margins
from ...planning.cycle import solve
from ...planning.result import Result
from ...problem import Problem
from ...schedule import Schedule, Step, Travel, readable
from ...solver.lexicographic import Settled, Tell, limited, settle
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
    schedule = _on_ticks(problem, instance, start, seen)
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


def settle_from(
    problem: Problem,
    instance: Instance,
    known: Schedule,
    longest: int,
    objectives: Sequence[str],
    clock: Clock,
    *,
    each: float | None,
    margins: Margins,
    tell: Tell | None = None,
) -> Settled:
    """Seek the best by each objective in turn, from a schedule whose margins are the floor.

    Parameters
    ----------
    known : Schedule
        Of the instance, to begin with. Of several hoists its margins are no floor.
    longest : int
        Ticks that no cycle may exceed.
    objectives, clock, each, margins, tell
        As of :func:`hoistopt.solver.lexicographic.settle`.
    """
    one = instance.several is None
    return settle(
        limited(instance, longest),
        objectives,
        clock,
        each=each,
        tell=tell,
        known=known,
        margins=margins,
        keeps=partial(keeps_margins, problem, instance) if one else None,
        drawn_out=partial(drawn_out, problem, instance) if one else None,
    )


def degree_meant(
    problem: Problem, asked: int | None, start: Schedule | None, source: object
) -> int:
    """The degree of a schedule to start from; where there is none the one asked for, or 1.

    Parameters
    ----------
    asked : int or None
    start : Schedule or None
    source : object
        What the schedule was read from, for the error; or the schedule itself.

    Raises
    ------
    InputError
        When another one is asked for than the schedule has.
    """
    if start is None:
        return 1 if asked is None else asked
    degree = degree_of(problem, start)
    if asked not in (None, degree):
        place = "given" if isinstance(source, Schedule) else f"in {source}"
        raise InputError(
            f"{degree}, the degree of the cycle {place}",
            field="degree",
            value=asked,
            way_out="Leave the degree out, or leave the moves out to search for a cycle of it.",
        )
    return degree


def _on_ticks(problem: Problem, instance: Instance, given: Schedule, seen: Replay) -> Schedule:
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
        return _from_first_load(instance, seen, scale)
    pattern = pattern_of(problem, instance, given)
    starts = [int(times[step]) for step in pattern.steps]
    return schedule_of(instance, pattern, starts, int(cycle))


def _from_first_load(instance: Instance, seen: Replay, scale: Fraction) -> Schedule:
    """A schedule of several hoists in ticks of the line, job 0 entering at the start of its cycle
    and loads numbered as they enter."""
    given, links = seen.schedule, seen.plan.links
    cycle = int(given.cycle * scale)
    first = instance.recipes[0]
    entering = sorted((s.start, s.load or 0) for s in given if s.stage == 0 and s.recipe == first)
    shift = int(entering[0][0] * scale)
    starts = [int(step.start * scale) - shift for step in given]
    enter = ((start % cycle, step) for start, step in zip(starts, given, strict=True))
    order = sorted((start, step.load) for start, step in enter if step.stage == 0)
    number = {load: place for place, (_, load) in enumerate(order, start=1)}
    steps: list[Step] = []
    for place, step in enumerate(given):
        boundaries, link = step.boundaries, links.get(place)
        if boundaries is not None and link is not None:
            boundaries += starts[place] // cycle - starts[link.before] // cycle
        steps.append(
            replace(
                step, start=starts[place] % cycle, load=number[step.load], boundaries=boundaries
            )
        )
    travels = [
        Travel((travel.start * scale - shift) % cycle, travel.hoist, travel.to)
        for travel in given.travels
    ]
    return Schedule(
        cycle,
        instance.ticks_per_unit,
        tuple(sorted(steps, key=lambda step: step.start)),
        tuple(sorted(travels, key=lambda travel: travel.start)),
    )
