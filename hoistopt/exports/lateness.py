"""How late a single step may be: the one place that knows, to be replaced as one.

The latest start of a step is the largest start for which the schedule, with only that
start changed, still passes the checker, and so do all starts between it and the planned
one. It lies before the next step and before the end of the cycle.
"""

from __future__ import annotations

from dataclasses import replace as changed
from fractions import Fraction

from ..checker import Replay, replay
from ..problem import Problem
from ..schedule import Schedule


def latest_start(problem: Problem, schedule: Schedule, seen: Replay, number: int) -> int:
    """The latest start of a step in ticks of the schedule.

    Parameters
    ----------
    problem, schedule : Problem, Schedule
        The line and a schedule the checker accepts.
    seen : Replay
        What the checker saw of it.
    number : int
        The step, from 0.
    """
    planned = schedule.steps[number].start
    most = _most(schedule, seen, number)
    if _passes(problem, delayed(schedule, number, most)):
        return most
    # The passing starts are those from the planned one up to a last one: with the order of
    # the moves fixed, each rule bounds a start from one side.
    passing, failing = planned, most
    while failing - passing > 1:
        middle = (passing + failing) // 2
        if _passes(problem, delayed(schedule, number, middle)):
            passing = middle
        else:
            failing = middle
    return passing


def delayed(schedule: Schedule, number: int, start: int) -> Schedule:
    """The schedule with only the start of one step changed."""
    steps = list(schedule.steps)
    steps[number] = changed(steps[number], start=start)
    return Schedule(schedule.cycle, schedule.ticks_per_unit, tuple(steps))


def _passes(problem: Problem, schedule: Schedule) -> bool:
    return replay(problem, schedule).clean


def _most(schedule: Schedule, seen: Replay, number: int) -> int:
    """A start beyond which the step would break a rule for certain.

    The next step of the hoist would come too early, the dwell at the source would pass its
    maximum, or the one at the target fall below its minimum.
    """
    step = number + 1
    planned = schedule.steps[number].start
    bounds = [schedule.time(schedule.cycle - 1 - planned)]
    if step < len(schedule):
        bounds.append(schedule.time(schedule.steps[step].start - planned))
    for before, run in zip(seen.runs, seen.runs[1:], strict=False):
        if before.step == step and run.step != step:
            bounds.append(run.waited)
    for stay in seen.stays:
        if stay.dwell is None:
            continue
        if stay.left_by == step and stay.most is not None:
            bounds.append(stay.most - stay.dwell)
        if stay.arrived_by == step and stay.left_by not in (None, step) and stay.stage > 0:
            bounds.append(stay.dwell - stay.least)
    # A cut-off square root may put a bound a hair below 0.
    spare = max(Fraction(0), min(bounds))
    return planned + (spare * schedule.ticks_per_unit) // 1


def longest_hold(seen: Replay, schedule: Schedule, number: int, start: int) -> Fraction | None:
    """How long the whole line may stand still, waiting for a step, before a load overstays.

    Parameters
    ----------
    seen : Replay
        What the checker saw of the schedule in which the step starts at `start`.
    schedule : Schedule
        That schedule.
    number, start : int
        The step, from 0, and its start in ticks.

    Returns
    -------
    Fraction or None
        In the problem's unit; None where no carrier standing then has a maximum.
    """
    moment = (seen.steady_from * seen.cycle_time) + schedule.time(start)
    rooms = [
        stay.most - stay.dwell
        for stay in seen.stays
        if stay.most is not None and stay.dwell is not None and stay.until is not None
        if stay.since <= moment <= stay.until
    ]
    return max(Fraction(0), min(rooms)) if rooms else None
