"""The order of moves of several hoists as a graph, against the search, the checker and brute force.

An order of the least cycle of all can run no quicker than that, and what its graph leaves of
the cycle time the checker accepts. How late a move may be for good is held against brute force,
which follows both hoists from tick to tick by all ways they may take.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import ceil

import pytest

import hoistopt
from hoistopt import Problem, Result, Schedule
from hoistopt.base.errors import InputError
from hoistopt.graph import several as several_graph
from hoistopt.graph.from_replay import timed_plan
from hoistopt.graph.lateness import for_good
from hoistopt.graph.several_retiming import drawn_together, shortest
from hoistopt.problem import load_problem
from tests.helpers.hoists.two_hoists import TWO
from tests.reference.several import several

SEEDS = 16


@cache
def solved(seed: int, slower: int = 0) -> tuple[Problem, Result] | None:
    """A random line and its least cycle, or the least that is longer by so much or more."""
    try:
        problem = several.draw(seed).problem()
    except InputError:  # a station that no hoist reaches
        return None
    result = hoistopt.solve(problem, time_limit=10, workers=1)
    if slower and result.schedule is not None:
        data = problem.to_data()
        data["cycle"] = {"min": result.schedule.cycle + slower}
        result = hoistopt.solve(Problem.from_data(data), time_limit=10, workers=1)
    return (problem, result) if result.schedule is not None else None


def test_no_order_of_a_least_cycle_runs_quicker_and_every_order_as_quick() -> None:
    checked = 0
    for seed in range(SEEDS):
        found = solved(seed)
        if found is None:
            continue
        _, result = found
        assert result.replay is not None and result.schedule is not None
        assert ceil(shortest(result.replay.plan).exact) == result.cycle_time, seed
        checked += 1
    assert checked > 10


def test_an_order_that_waits_is_drawn_together() -> None:
    """The schedule is one the checker accepts, no quicker than the least of all."""
    quicker = 0
    for seed in range(SEEDS):
        least, found = solved(seed), solved(seed, 7)
        if least is None or found is None:
            continue
        problem, result = found
        seen = hoistopt.replay(problem, result.schedule)  # type: ignore[arg-type]
        drawn = shortest(seen.plan).schedule
        assert hoistopt.replay(problem, drawn).clean
        assert least[1].schedule is not None and result.schedule is not None
        assert least[1].schedule.cycle <= drawn.cycle <= result.schedule.cycle
        quicker += drawn.cycle < result.schedule.cycle
    assert quicker > 8


def test_an_order_is_drawn_together_no_farther_than_a_bound() -> None:
    checked = 0
    for seed in range(SEEDS):
        found = solved(seed, 7)
        if found is None or found[1].schedule is None:
            continue
        plan = hoistopt.replay(found[0], found[1].schedule).plan
        cycle = found[1].schedule.cycle
        drawn, held = drawn_together(plan), drawn_together(plan, cycle - 2)
        if drawn is None or drawn.cycle > cycle - 2:
            continue
        assert held is not None and held.cycle == cycle - 2
        assert hoistopt.replay(found[0], held).clean
        assert drawn_together(plan, cycle) is None
        checked += 1
    assert checked > 5


def test_hoists_that_need_not_keep_apart_are_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(several_graph, "separations", lambda *_: ())
    shorter = 0
    for seed in range(SEEDS):
        found = solved(seed)
        if found is not None and found[1].replay is not None:
            shorter += ceil(shortest(found[1].replay.plan).exact) < (found[1].cycle_time or 0)
    assert shorter


def test_a_move_may_be_as_late_for_good_as_it_is_told() -> None:
    """Later by what the hoists leave it both still find ways, the other moves at their times.

    A tick more they often cannot: only by giving way in another order, or farther, than the
    schedule has them.
    """
    late = no_more = told = 0
    for seed in range(SEEDS):
        found = solved(seed, 7)
        if found is None:
            continue
        line, schedule = several.draw(seed), found[1].schedule
        assert schedule is not None
        plan = timed_plan(hoistopt.replay(found[0], schedule))
        for number in range(len(plan)):
            by = plan.ticks(
                min(
                    plan.slack(arc)
                    for arc in (*plan.waits, *plan.left_out)
                    if arc.tail == number != arc.head and arc.rule in ("hoist", "distance")
                )
            )
            assert by >= plan.ticks(for_good(plan, number)[0])
            assert _can(line, schedule, number, by), (seed, number)
            late += by > 0
            told += 1
            no_more += not _can(line, schedule, number, by + 1)
    assert late > 20 and no_more > told * 2 // 5


def _can(line: several.TwoHoists, schedule: Schedule, number: int, by: int) -> bool:
    """Whether hoists can make the moves of a schedule with one of them later."""
    steps = list(schedule.steps)
    steps[number] = replace(steps[number], start=steps[number].start + by)
    return several.hoists_can(line, schedule.cycle, steps)


def test_acceleration_counted_in_full_leaves_an_order_something() -> None:
    """The solver counts the gaining of speed in full; the exact times of the order do not."""
    problem = load_problem(TWO)
    result = hoistopt.solve(problem, time_limit=10, workers=1)
    assert result.replay is not None and result.schedule is not None
    found = shortest(result.replay.plan)
    assert found.exact <= found.schedule.time(found.schedule.cycle) <= result.cycle_time  # type: ignore[operator]
    assert hoistopt.replay(problem, found.schedule).clean


def test_why_slack_and_jitter_take_several_hoists() -> None:
    problem = load_problem(TWO)
    result = hoistopt.solve(problem, time_limit=10, workers=1)
    assert result.schedule is not None
    held = hoistopt.what_holds(problem, result.schedule)
    assert held.total / held.cycles == held.exact <= held.least <= held.cycle_time
    assert max(held.hoist_floor, held.turn_floor, held.return_floor) <= held.exact
    limits = hoistopt.slack_limits(problem, result.schedule)
    assert len(limits.moves) == len(result.schedule.steps)
    calm = hoistopt.jitter(problem, result.schedule, [], runs=2, cycles=5)
    assert calm.any_stage.out == 0 and calm.cycle_time == pytest.approx(result.cycle_time)
    late = hoistopt.jitter(
        problem, result.schedule, ["move times triangular 0.97 1 1.3"], runs=5, cycles=20
    )
    assert late.any_stage.out > 0
