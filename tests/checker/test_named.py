"""Tables that name their loads and stages go straight through, and are judged the same.

Both ways are made for the same table: the straight one, and the reading of foreign tables
as though there were no other.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from random import Random
from typing import Any

import pytest

from hoistopt.checker import Replay, replay, verify
from hoistopt.checker.grid.table import Table
from hoistopt.checker.named import named_plan
from hoistopt.checker.reading.loads import read_plan
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule, Step
from tests.helpers.lines.checked_line import (
    Move,
    bench,
    found,
    line,
    only,
    stage,
    table,
    told,
    usual_line,
    usual_table,
)
from tests.helpers.usual import first
from tests.reference.brute import best_schedule
from tests.reference.lines import FAMILIES
from tests.reference.moves import lines

REPLAY = sys.modules["hoistopt.checker.replay"]


def goes_straight(problem: Problem, schedule: Schedule) -> bool:
    return named_plan(Table(problem, schedule)) is not None


def as_foreign(problem: Problem, schedule: Schedule, monkeypatch: pytest.MonkeyPatch) -> Replay:
    """The replay of the plan that the reading of foreign tables makes."""
    with monkeypatch.context() as patched:
        patched.setattr(REPLAY, "named_plan", lambda _: None)
        return replay(problem, schedule)


def named(family: str, seed: int) -> tuple[Problem, Schedule] | None:
    """A schedule of the brute force, which names everything."""
    problem, degree = FAMILIES[family](seed)
    witness = best_schedule(problem, degree)
    if witness is None:
        return None
    steps = tuple(
        Step(s.start, s.source, s.target, s.recipe, s.load, s.stage, s.boundaries)
        for s in witness.steps
    )
    return problem, Schedule(witness.cycle, 1 / next(lines(problem, degree)).clock.tick, steps)


def shaken(schedule: Schedule, rng: Random) -> Iterator[Schedule]:
    """The schedule, and what becomes of it with its times, or its numbers, a little wrong."""
    yield schedule
    for _ in range(12):
        cycle = max(1, schedule.cycle + rng.choice((0, 0, -3, -1, 1, 5, 40)))
        steps = list(schedule.steps)
        for _ in range(rng.choice((0, 1, 2, 5))):
            number = rng.randrange(len(steps))
            by = rng.choice((-25, -4, -1, 1, 4, 25))
            steps[number] = replace(steps[number], start=steps[number].start + by)
        if rng.random() < 0.3:
            steps = [replace(step, boundaries=None) for step in steps]
        elif rng.random() < 0.3:
            number = rng.randrange(len(steps))
            there = steps[number].boundaries
            by = rng.choice((-1, 1))
            steps[number] = replace(
                steps[number], boundaries=None if there is None else max(0, there + by)
            )
        moved = [replace(step, start=step.start % cycle) for step in steps]
        moved.sort(key=lambda step: step.start)
        yield Schedule(cycle, schedule.ticks_per_unit, tuple(moved))


@pytest.mark.parametrize("seeds", first(12, range(500, 525)))
@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_both_ways_see_the_same_in_right_and_wrong_schedules(
    family: str, seeds: range, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: Counter[str] = Counter()
    for seed in seeds:
        made = named(family, seed)
        if made is None:
            continue
        problem, schedule = made
        assert goes_straight(problem, schedule)
        for each in shaken(schedule, Random(seed)):
            if not goes_straight(problem, each):
                continue  # it is read as a foreign one: both ways are the same
            straight, foreign = replay(problem, each), as_foreign(problem, each, monkeypatch)
            assert straight == foreign
            assert straight.violations == foreign.violations
            assert straight.plan.links == foreign.plan.links
            seen["clean" if straight.clean else "broken"] += 1
    assert seen["clean"] >= 4
    assert seen["broken"] >= 4


def test_the_straight_way_reads_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(_: Table) -> Any:
        raise AssertionError("a table that names everything was read as a foreign one")

    monkeypatch.setattr(REPLAY, "read_plan", refused)
    problem, schedule = named("everything", 502) or named("everything", 503) or (None, None)
    assert problem is not None and schedule is not None
    assert verify(problem, schedule) == ()


# Bench to A, B to Bench, A to B; each names recipe, load, stage and boundaries.
COLUMNS: tuple[dict[str, Any], ...] = (
    {"recipe": "R", "load": 1, "stage": 0},
    {"recipe": "R", "load": 1, "stage": 2, "boundaries": 1},
    {"recipe": "R", "load": 1, "stage": 1, "boundaries": 0},
)


def test_a_named_load_that_does_not_fit_is_found_out() -> None:
    problem = line([bench(), {"name": "A"}], {"name": "R", "stage": [stage("A", 10)]})
    moves: list[Move] = [(0, "Bench", "A", "R", 1, 0), (30, "A", "Bench", "R", 1, 1, 0)]
    moves += [(60, "Bench", "A", "R", 2, 0), (90, "A", "Bench", "R", 2, 1, 0)]
    assert goes_straight(problem, table(120, *moves))
    # The two steps out of A name each other's load: carriers would crash in A.
    crosswise = [moves[0], (30, "A", "Bench", "R", 2, 1, 1), moves[2]]
    crosswise += [(90, "A", "Bench", "R", 1, 1, 0)]
    assert not goes_straight(problem, table(120, *crosswise))
    assert [
        text for text in found(problem, table(120, *crosswise)) if "table says load" in text
    ] == [
        "A, step 2, cycle 1: the table says load 2, but the carrier there has 1",
        "A, step 4, cycle 1: the table says load 1, but the carrier there has 2",
    ]


@pytest.mark.parametrize(
    ("step", "column", "stated", "seen"),
    [(1, "load", 7, 1), (1, "stage", 1, 2), (1, "boundaries", 0, 1), (0, "stage", 1, 0)],
)
def test_a_wrong_name_among_right_ones_is_told(
    step: int, column: str, stated: int, seen: int
) -> None:
    columns = [dict(column) for column in COLUMNS]
    assert goes_straight(usual_line(), told(usual_table(), *columns))
    columns[step][column] = stated
    wrong = told(usual_table(), *columns)
    assert not goes_straight(usual_line(), wrong)
    assert (
        f"the table says {column} {stated}, but the carrier there has {seen}"
        in only(usual_line(), wrong).message
    )


def test_boundaries_that_crowd_a_tank_are_not_believed() -> None:
    # In A for 45 by the times; named are 145, with the next load on top of this one.
    columns = [dict(column) for column in COLUMNS]
    columns[2]["boundaries"] = 1
    wrong = told(usual_table(), *columns)
    assert not goes_straight(usual_line(), wrong)
    assert verify(usual_line(), wrong) != ()


def test_a_step_left_out_or_made_twice_is_told() -> None:
    right = told(usual_table(), *COLUMNS)
    one_less = replace(right, steps=right.steps[:2])
    twice = replace(right, steps=(*right.steps, replace(right.steps[2], start=80)))
    for wrong in (one_less, twice):
        assert not goes_straight(usual_line(), wrong)
        assert verify(usual_line(), wrong) != ()


def test_a_place_that_is_not_the_stages_is_told() -> None:
    problem = line(
        [bench(), {"name": "A"}, {"name": "B"}, {"name": "C"}],
        {"name": "R", "stage": [stage(["A", "C"], 10), stage("B", 10)]},
    )
    # Set down in A, and the next step of the load lifts from C.
    moves: list[Move] = [(0, "Bench", "A", "R", 1, 0), (40, "C", "B", "R", 1, 1, 0)]
    moves.append((80, "B", "Bench", "R", 1, 2, 0))
    assert not goes_straight(problem, table(120, *moves))
    assert any(
        "never a carrier to lift here" in text for text in found(problem, table(120, *moves))
    )


def test_wrong_windows_and_travel_are_told_on_the_straight_way() -> None:
    columns = [dict(column) for column in COLUMNS]
    short = told(usual_table(a=39), *columns)
    assert goes_straight(usual_line(), short)
    violation = only(usual_line(), short)
    assert (violation.rule, violation.found, violation.limit) == ("window", 29, 30)
    rushed = told(usual_table(b=14), *columns)
    assert goes_straight(usual_line(), rushed)
    assert only(usual_line(), rushed).rule == "hoist in two places"


def test_the_plan_of_either_way_says_the_same() -> None:
    in_table = Table(usual_line(), told(usual_table(), *COLUMNS))
    straight, foreign = named_plan(in_table), read_plan(in_table)
    assert straight is not None
    assert (straight.legs, straight.links, straight.loads) == (
        foreign.legs,
        foreign.links,
        foreign.loads,
    )
    assert straight.firsts == foreign.firsts == [0, 1, 0]
    assert straight.table.clock.fraction(straight.links[1].dwell) == Fraction(50)


def test_a_table_that_ends_later_leaves_the_one_it_was_made_of() -> None:
    """By how much each step ends later is added to its end, and to nothing else."""
    in_table = Table(usual_line(), told(usual_table(), *COLUMNS))
    plan = named_plan(in_table)
    assert plan is not None
    ends = [in_table.end(n, leg) for n, leg in enumerate(plan.legs)]
    later = in_table.ending_later([1, 0, 7])
    assert [later.end(n, leg) for n, leg in enumerate(plan.legs)] == [
        ends[0] + 1, ends[1], ends[2] + 7
    ]  # fmt: skip
    assert [in_table.end(n, leg) for n, leg in enumerate(plan.legs)] == ends
    assert later.starts == in_table.starts
