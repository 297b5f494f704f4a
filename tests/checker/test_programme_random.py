"""Programmes on random lines: at one with the replay of cycles, and with themselves.

The replay of cycles has its own plan, simulation and rules; a cycle it accepts must be clean
as a programme, one it refuses must not. A programme cut anywhere goes on from its state.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache
from random import Random

import pytest

import hoistopt
from hoistopt import Programme, Schedule
from hoistopt.base.errors import InputError
from hoistopt.checker import replay
from hoistopt.planning.result import Result
from hoistopt.problem import Problem
from hoistopt.schedule.state_files import state_from_data, state_to_data
from tests.helpers.command import PROBLEMS
from tests.helpers.usual import first
from tests.reference.lines import FAMILIES

SEEDS = pytest.mark.parametrize("seeds", first(7, range(14)))


@cache
def solved(family: str, seed: int) -> tuple[Problem, Result] | None:
    small = FAMILIES[family](seed)
    try:
        result = hoistopt.solve(small.problem, small.degree, time_limit=10, workers=1)
    except InputError:  # no tick fits into a window
        return None
    return None if result.schedule is None else (small.problem, result)


def cycles_to_fill(result: Result) -> int:
    assert result.replay is not None
    return max(first for first in result.replay.plan.firsts if first is not None)


def moved(schedule: Schedule, rng: Random) -> Schedule:
    """One step moved by a tick, or by some."""
    number, steps = rng.randrange(len(schedule)), list(schedule.steps)
    start = steps[number].start + rng.choice((-1, 1)) * rng.choice((1, 1, 5, 20))
    steps[number] = replace(steps[number], start=min(max(start, 0), schedule.cycle - 1))
    return replace(schedule, steps=tuple(steps))


@SEEDS
@pytest.mark.parametrize("family", FAMILIES)
def test_a_cycle_unrolled_is_clean_where_the_cycle_is(family: str, seeds: range) -> None:
    said: Counter[bool] = Counter()
    for seed in seeds:
        found = solved(family, seed)
        if found is None:
            continue
        problem, result = found
        assert result.schedule is not None
        rng = Random(f"{family} {seed}")
        for schedule in [result.schedule, *(moved(result.schedule, rng) for _ in range(5))]:
            clean = replay(problem, schedule).clean
            programme = hoistopt.unroll(schedule, cycles_to_fill(result) + 5)
            seen = hoistopt.replay_programme(problem, programme)
            assert seen.clean == clean, [str(one) for one in seen.violations[:3]]
            said[clean] += 1
    assert said[True] > 4 and said[False] > 4


@SEEDS
@pytest.mark.parametrize("family", FAMILIES)
def test_a_programme_goes_on_from_the_state_it_is_in(family: str, seeds: range) -> None:
    cut = 0
    for seed in seeds:
        found = solved(family, seed)
        if found is None:
            continue
        problem, result = found
        schedule, cycles = result.schedule, cycles_to_fill(result) + 4
        assert schedule is not None
        programme = hoistopt.unroll(schedule, cycles)
        seen = hoistopt.replay_programme(problem, programme)
        rng = Random(f"{family} {seed}")
        starts = [step.start for step in programme]
        for at in (0, rng.choice(starts), *(rng.randrange(starts[-1]) for _ in range(3))):
            rest = tuple(replace(s, start=s.start - at) for s in programme if s.start > at)
            state = hoistopt.state_after(seen, programme.time(at))
            # As read from a file: with doubt of a millionth where times have no end.
            typed = state_from_data(state_to_data(state, problem), problem)
            for begins in (state, typed):
                again = hoistopt.replay_programme(
                    problem, Programme(programme.ticks_per_unit, rest), begins
                )
                assert again.violations == ()
                cut += 1
    assert cut > 25


@SEEDS
@pytest.mark.parametrize("family", FAMILIES)
def test_the_cycle_goes_on_from_a_state_in_it(family: str, seeds: range) -> None:
    for seed in seeds:
        found = solved(family, seed)
        if found is None:
            continue
        problem, result = found
        schedule, filled = result.schedule, cycles_to_fill(result) + 1
        assert schedule is not None
        at = Random(f"{family} {seed}").randrange(schedule.cycle)
        state = hoistopt.state_in_cycle(problem, schedule, schedule.time(at))
        whole = hoistopt.unroll(schedule, filled + 3)
        now = filled * schedule.cycle + at
        # The state numbers its loads in its own way, and a step knows its load by its place.
        rest = tuple(
            replace(step, start=step.start - now, load=None) for step in whole if step.start > now
        )
        again = hoistopt.replay_programme(problem, Programme(whole.ticks_per_unit, rest), state)
        assert again.violations == ()


def test_a_table_without_names_unrolls_once_the_checker_has_named_it() -> None:
    problem = hoistopt.load_problem(PROBLEMS / "three_tanks_dryer.toml")
    schedule = hoistopt.solve(problem, 2, workers=1).schedule
    assert schedule is not None
    bare = replace(
        schedule,
        steps=tuple(
            replace(step, recipe=None, load=None, stage=None, boundaries=None) for step in schedule
        ),
    )
    named = hoistopt.named_schedule(replay(problem, bare).plan)
    seen = hoistopt.replay_programme(problem, hoistopt.unroll(named, 4))
    assert seen.clean and len(seen.out) == 8
