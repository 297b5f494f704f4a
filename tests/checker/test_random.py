"""The checker on random lines and tables: it never breaks, and agrees with the reference.

The reference (tests/reference) reads the rules in its own way and knows nothing of the
checker; what it finds to work must be accepted, and what is accepted must work there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hoistopt.base.errors import InputError
from hoistopt.checker import replay, verify
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule, Step
from tests.helpers.usual import first
from tests.reference.brute import best_schedule
from tests.reference.exhaustive import works
from tests.reference.lines import FAMILIES
from tests.reference.moves import Line, lines

FAMILY = st.sampled_from(sorted(FAMILIES))
SEED = st.integers(0, 10**6)


@st.composite
def nonsense(draw: st.DrawFn) -> tuple[Problem, Schedule]:
    """A random small line and a table that mostly makes no sense on it."""
    problem = FAMILIES[draw(FAMILY)](draw(SEED)).problem
    names = [station.name for station in problem.stations]
    recipes = [recipe.name for recipe in problem.recipes]
    used = [
        (a, b)
        for recipe in problem.recipes
        for before, after in pairwise(_way(problem, recipe.name))
        for a in before
        for b in after
    ]
    cycle = draw(st.integers(1, 400))
    step = st.builds(
        lambda start, way, *columns: Step(start, *way, *columns),
        st.integers(0, cycle - 1),
        st.one_of(st.sampled_from(used), st.tuples(st.sampled_from(names), st.sampled_from(names))),
        st.one_of(st.none(), st.sampled_from(recipes)),
        st.one_of(st.none(), st.integers(1, 4)),
        st.one_of(st.none(), st.integers(0, 6)),
        st.one_of(st.none(), st.integers(0, 5)),
    )
    steps = draw(st.lists(step, max_size=16))
    rate = draw(st.fractions(Fraction(1, 30), 50, max_denominator=30))
    return problem, Schedule(cycle, rate, tuple(steps))


def _way(problem: Problem, name: str) -> list[tuple[str, ...]]:
    recipe = problem.recipe_by_name[name]
    load, unload = problem.load_station(recipe).name, problem.unload_station(recipe).name
    return [(load,), *(stage.station for stage in recipe.stages), (unload,), (load,)]


@settings(max_examples=150, deadline=None, derandomize=True)
@given(nonsense())
def test_no_table_breaks_the_checker(drawn: tuple[Problem, Schedule]) -> None:
    judged_well(*drawn)


@pytest.mark.long
@settings(max_examples=500, deadline=None, derandomize=True)
@given(nonsense())
def test_none_of_many_tables_breaks_the_checker(drawn: tuple[Problem, Schedule]) -> None:
    judged_well(*drawn)


def judged_well(problem: Problem, schedule: Schedule) -> None:
    """Whatever is said of the table, it holds together."""
    try:
        seen = replay(problem, schedule)
    except InputError:
        return
    assert len(set(seen.violations)) == len(seen.violations)
    for violation in seen.violations:
        assert violation.message
        assert violation.message.isprintable()
        assert 0 <= violation.step <= len(schedule)
        assert violation.cycle >= 1
    lifted = [(stay.carrier, stay.until) for stay in seen.stays if stay.left_by is not None]
    assert sorted(lifted) == sorted((run.carrier, run.start) for run in seen.runs)
    for run in seen.runs:
        step = schedule.steps[run.step - 1]
        assert (run.source, run.target) == (step.source, step.target)
        assert run.start == (run.cycle - 1) * seen.cycle_time + schedule.time(step.start)
        assert run.end >= run.start


@settings(max_examples=60, deadline=None, derandomize=True)
@given(nonsense(), st.integers(1, 5))
def test_a_verdict_does_not_depend_on_how_long_it_is_replayed(
    drawn: tuple[Problem, Schedule], more: int
) -> None:
    problem, schedule = drawn
    try:
        seen = replay(problem, schedule)
        longer = replay(problem, schedule, seen.steady_from + seen.steady_cycles + more)
    except InputError:
        return
    piling_up = any("no step lifts" in v.message for v in seen.violations)
    if seen.steady_cycles:
        faults, more_faults = (
            # Which step is the first to lack a carrier may show only later.
            {(v.rule, v.station, v.rule != "carriers" and v.step) for v in found}
            for found in (seen.violations, longer.violations)
        )
        assert faults <= more_faults
        assert piling_up or faults == more_faults


CASES = [(family, seed) for family in sorted(FAMILIES) for seed in range(12)]


@pytest.mark.parametrize(("family", "seed"), CASES)
def test_schedules_of_the_brute_force_are_accepted_with_and_without_columns(
    family: str, seed: int
) -> None:
    problem, degree = FAMILIES[family](seed)
    witness = best_schedule(problem, degree)
    if witness is None:
        pytest.skip("no schedule exists")
    line = next(lines(problem, degree))
    rate = 1 / Fraction(line.clock.tick)
    steps = tuple(
        Step(s.start, s.source, s.target, s.recipe, s.load, s.stage, s.boundaries)
        for s in witness.steps
    )
    assert verify(problem, Schedule(witness.cycle, rate, steps)) == ()
    bare = tuple(replace(step, load=None, stage=None, boundaries=None) for step in steps)
    assert verify(problem, Schedule(witness.cycle, rate, bare)) == ()


@pytest.mark.parametrize("family", ["entering", "everything", "mixed", "turns"])
def test_recipes_are_found_out_or_asked_for_but_never_taken_wrongly(family: str) -> None:
    found_out = 0
    for seed in range(60, 90):
        problem, degree = FAMILIES[family](seed)
        witness = best_schedule(problem, degree) if len(problem.recipes) > 1 else None
        if witness is None:
            continue
        rate = 1 / Fraction(next(lines(problem, degree)).clock.tick)
        steps = tuple(Step(s.start, s.source, s.target) for s in witness.steps)
        messages = [v.message for v in verify(problem, Schedule(witness.cycle, rate, steps))]
        assert not messages or any("several recipes go this way" in text for text in messages)
        found_out += not messages
    assert found_out >= 5


def whole(line: Line) -> bool:
    """Whether all times are whole ticks, so that rounding makes no difference."""
    problem, clock = line.problem, line.clock
    times = [station.min_occupation for station in problem.stations]
    times.append(problem.carriers.return_time)
    for recipe in problem.recipes:
        for stage in recipe.stages:
            times += [stage.min, *([] if stage.max is None else [stage.max])]
    physics = problem.hoist.loaded or problem.hoist.empty
    return not physics and all(clock.up(time) == clock.down(time) for time in times)


def apart(line: Line, starts: Sequence[int], cycle: int) -> bool:
    """Whether the hoist can follow: it has its time between any two moves."""
    moves = range(len(starts))
    return len(set(starts)) == len(starts) and all(
        (starts[b] - starts[a] - 1) % cycle + 1 >= line.gap[a][b] for a in moves for b in moves
    )


def shaken(family: str, seed: int) -> Iterator[tuple[Line, int, list[int]]]:
    """A schedule that works, and what it becomes with some times a little off."""
    problem, degree = FAMILIES[family](seed)
    choices = [line for line in lines(problem, degree) if len(line.moves) <= 9]
    witness = best_schedule(problem, degree) if choices and whole(choices[0]) else None
    if witness is None:
        return
    rng = Random(seed)
    starts = {(s.load - 1, s.stage): s for s in witness.steps}
    for line in choices:
        steps = [starts.get((move.load, move.step)) for move in line.moves]
        if all(
            step is not None and (step.source, step.target) == (move.source, move.target)
            for step, move in zip(steps, line.moves, strict=True)
        ):
            break
    else:
        return
    exact = [step.start for step in steps if step is not None]
    yield line, witness.cycle, exact
    for _ in range(25):
        cycle = witness.cycle + rng.choice((0, 0, 0, 0, -1, 1, 4))
        moved = list(exact)
        for _ in range(rng.choice((0, 1, 1, 2))):
            moved[rng.randrange(len(moved))] += rng.choice((-2, -1, -1, 1, 1, 2))
        yield line, cycle, [start % cycle for start in moved]


@pytest.mark.parametrize("seeds", first(18, range(100, 135)))
@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_the_reference_agrees_a_tick_this_way_or_that(family: str, seeds: range) -> None:
    accepted = refused = 0
    for seed in seeds:
        for line, cycle, starts in shaken(family, seed):
            broken = broken_rules(line, cycle, starts)
            fine = works(line, starts, cycle) and apart(line, starts, cycle)
            assert fine == (not broken), broken
            accepted, refused = accepted + (not broken), refused + bool(broken)
    assert accepted >= 3
    assert refused >= 10


def broken_rules(line: Line, cycle: int, starts: Sequence[int]) -> list[str]:
    """What the checker says, but for limits on the cycle time, which were shaken too."""
    steps = tuple(
        Step(start, m.source, m.target, line.recipes[m.load].name, m.load + 1, m.step)
        for start, m in zip(starts, line.moves, strict=True)
    )
    schedule = Schedule(cycle, 1 / Fraction(line.clock.tick), steps)
    return [v.message for v in verify(line.problem, schedule) if v.rule != "cycle time"]
