"""The figures of a schedule: output, loads in process, what the hoist does all day."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from ...base.numbers.decimals import share
from ...checker.record import Replay
from ...problem import Problem
from .steps import after_steady, first_steady, steady_runs

HOUR = 3600


@dataclass(frozen=True)
class Figures:
    """What a schedule achieves, measured over the steady cycles of its replay.

    `time_per_load` is in the problem's unit. A load is in process from the start of
    lifting at its load station to the end of lowering at its unload station; the least,
    greatest and mean number are taken over time. The three hoist shares add up to 1:
    carrying (lifting, dripping and lowering included), travelling empty, waiting. Of several
    hoists they are the means; travels to give way count as travelling.
    `carriers_needed` circulate, empty ones on their way back included.
    """

    time_per_load: Fraction
    loads_per_hour: float
    in_process_least: int
    in_process_most: int
    in_process_mean: float
    hoist_loaded: float
    hoist_empty: float
    hoist_waiting: float
    carriers_needed: int
    carriers_available: int | None


def figures(problem: Problem, replay: Replay) -> Figures:
    """Measure a replay.

    Raises
    ------
    ValueError
        When the replay has no steady cycle to measure.
    """
    runs = steady_runs(replay)
    entering = sum(run.stage == 0 for run in runs)
    if not replay.steady_cycles or not entering:
        raise ValueError("no steady cycle in the replay")
    span = replay.steady_cycles * replay.cycle_time
    work = span * len(problem.hoists)
    per_load = span / entering
    least, most, mean = _in_process(problem, replay)
    loaded = sum((run.end - run.start for run in runs), Fraction())
    empty = sum((run.empty for run in runs), Fraction())
    return Figures(
        time_per_load=per_load,
        loads_per_hour=float(HOUR / (per_load * Fraction(problem.seconds_per_unit))),
        in_process_least=least,
        in_process_most=most,
        in_process_mean=round(float(mean), 3),
        hoist_loaded=share(loaded, work),
        hoist_empty=share(empty, work),
        hoist_waiting=share(work - loaded - empty, work),
        carriers_needed=replay.carriers_needed,
        carriers_available=problem.carriers.count,
    )


def _in_process(problem: Problem, replay: Replay) -> tuple[int, int, Fraction]:
    """Least, greatest and mean number of loads in process over the steady cycles."""
    since, until = first_steady(replay), after_steady(replay)
    changes: dict[Fraction, int] = {since: 0}
    for run in replay.runs:
        last = len(problem.recipe_by_name[run.recipe].stages)
        # Changes before the steady cycles still count for how many there are then.
        if run.stage == 0:
            _add(changes, max(since, run.start), 1)
        if run.stage == last:
            _add(changes, max(since, run.end), -1)
    times = sorted(time for time in changes if time < until)
    count, area, levels = 0, Fraction(), []
    for time, following in zip(times, [*times[1:], until], strict=True):
        count += changes[time]
        area += count * (following - time)
        levels.append(count)
    return min(levels), max(levels), area / (until - since)


def _add(changes: dict[Fraction, int], time: Fraction, change: int) -> None:
    changes[time] = changes.get(time, 0) + change
