"""Schedules that can be run: judged afresh by many runs and by a simulated sequencer."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from hoistopt import Effort, InputError, Problem, accepted, jitter, load_problem, solve, verify
from hoistopt.base.clock import Clock
from hoistopt.graph.from_replay import timed_plan
from hoistopt.instance import Instance, build_instance
from hoistopt.margin import other_orders, runnable, search
from hoistopt.margin.figures import margin_figures, tightest_float, tightest_slack
from hoistopt.margin.runnable import find_runnable, usual_seconds
from hoistopt.margin.slack import slack_limits
from hoistopt.problem.margin import ASSUMED
from tests.helpers.lines.late_lines import solved
from tests.helpers.usual import first
from tests.reference.lines import FAMILIES

PROBLEMS = Path(__file__).parents[2] / "problems"
LATE = "move times triangular 0.97 1 1.15"


def changed(name: str, **parts: object) -> Problem:
    data = load_problem(PROBLEMS / name).to_data()
    return Problem.from_data({**data, **parts})


@pytest.mark.quick
def test_a_schedule_that_can_be_run_loses_no_load() -> None:
    """On a line whose shortest cycle loses most of its loads."""
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    result = solve(problem, workers=1, runnable=True)
    assert result.status == "optimal" and result.cycle_time == 234
    least, run = result.margin, result.runnable
    assert least is not None and run is not None
    assert least.out_of_window.share > 0.5
    assert run.met and run.margin.out_of_window.out == 0 and run.margin.keeps_pace
    assert least.assumed and run.margin.scatter is ASSUMED
    assert verify(problem, run.schedule) == ()
    # Fresh draws, and more of them.
    again = jitter(problem, run.schedule, [LATE], runs=150, cycles=120, seed=77)
    assert again.any_stage.out <= again.any_stage.loads / 1000
    assert again.cycle_time == pytest.approx(run.cycle_time, rel=1e-3)
    # A few seconds of cycle time buy it.
    assert 234 < run.cycle_time < 240


def test_the_demo_line_runs_with_less_than_one_per_cent_more() -> None:
    problem = load_problem(PROBLEMS / "quillhaven_anodising.toml")
    result = solve(problem, workers=1, runnable=True)
    assert result.cycle_time == 787.2
    assert result.runnable is not None and result.runnable.met
    assert result.runnable.margin.out_of_window.loads >= 90_000
    assert result.runnable.cycle_time <= 795
    assert result.margin is not None and result.margin.out_of_window.loads < 10_000
    # Nor by draws of which it knew nothing; a hundred runs alone would let a schedule pass that
    # loses one load in two thousand.
    for seed in (5, 6):
        own = margin_figures(problem, result.runnable.replay, Clock(Effort(seed=seed)))
        assert own.met and own.out_of_window.loads >= 90_000


@pytest.mark.quick
def test_without_a_search_there_is_nothing_beside_the_result() -> None:
    result = solve(load_problem(PROBLEMS / "three_tanks_dryer.toml"), workers=1)
    assert result.margin is None and result.runnable is None


@pytest.mark.quick
def test_the_same_seed_finds_the_same_schedule() -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    first, second = (solve(problem, workers=1, seed=5, runnable=60) for _ in range(2))
    assert first.runnable is not None and second.runnable is not None
    assert first.runnable.schedule == second.runnable.schedule
    assert first.margin == second.margin


@pytest.mark.quick
def test_what_is_tolerated_makes_the_cycle_shorter_and_is_kept() -> None:
    name = "three_tanks_dryer.toml"
    scatter = {"times": "move times triangular 0.9 1 1.4"}
    strict = solve(changed(name, scatter=scatter), workers=1, runnable=True).runnable
    loose = solve(
        changed(name, scatter={**scatter, "tolerated": 0.2}), workers=1, runnable=True
    ).runnable
    assert strict is not None and loose is not None
    assert not strict.margin.assumed
    assert strict.met and strict.margin.out_of_window.share <= 1e-4  # which counts as none
    share = loose.margin.out_of_window
    assert share.out <= Fraction(1, 5) * share.loads
    assert loose.cycle_time <= strict.cycle_time


@pytest.mark.quick
def test_a_line_without_maxima_can_run_its_own_pace() -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    data = problem.to_data()
    for stage in data["recipe"][0]["stage"]:
        stage.pop("max", None)
        stage.pop("nominal", None)
    run = solve(Problem.from_data(data), workers=1, runnable=True).runnable
    assert run is not None and run.met and run.margin.slack is None
    assert run.margin.keeps_pace


@pytest.mark.quick
def test_where_the_pace_leaves_no_time_the_nearest_is_told() -> None:
    result = solve(changed("three_tanks_dryer.toml", cycle={"max": 234}), workers=1, runnable=3)
    assert result.margin is not None and result.runnable is not None
    assert not result.runnable.met
    least, nearest = result.margin.out_of_window, result.runnable.margin.out_of_window
    assert 0 < nearest.share <= least.share
    assert result.runnable.cycle_time == 234


@pytest.mark.quick
def test_a_margin_asked_for_is_kept_by_the_one_that_can_be_run() -> None:
    problem = changed("three_tanks_dryer.toml", margin={"slack": 4, "float": 3})
    result = solve(problem, workers=1, runnable=True)
    assert result.runnable is not None and result.margin is not None
    for figures in (result.margin, result.runnable.margin):
        assert figures.slack is not None and figures.slack.time >= 4
        assert figures.late.time >= 3
    assert verify(problem, result.runnable.schedule) == ()


@pytest.mark.parametrize("wrong", [0, -1, float("inf"), float("nan"), "5"])
@pytest.mark.quick
def test_seconds_that_make_no_sense_are_refused(wrong: object) -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    with pytest.raises(InputError, match="runnable"):
        solve(problem, runnable=wrong)  # type: ignore[arg-type]


@pytest.mark.quick
def test_a_search_that_is_stopped_at_once_gives_the_least_schedule() -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    result = solve(problem, workers=1)
    assert result.schedule is not None and result.replay is not None
    over = Clock(Effort(time_limit=1e-9))
    run = find_runnable(problem, result.schedule, result.replay, over)
    assert verify(problem, run.schedule) == ()


@pytest.mark.parametrize("family", ["plain", "parallel", "slots", "carriers", "mixed"])
def test_the_tightest_starts_are_those_of_the_slack_limits(family: str) -> None:
    """The quick figures against the limits found by following every late start."""
    compared = 0
    for seed in range(12):
        line = solved(family, seed)
        if line is None:
            continue
        limits, plan = slack_limits(*line), timed_plan(accepted(*line))
        slack, late = tightest_slack(plan), tightest_float(plan)
        alone = limits.least_alone
        assert (None if slack is None else slack.time) == (
            None if alone is None else limits.time(alone)
        )
        assert late.time == limits.time(limits.least_for_good)
        compared += 1
    assert compared >= 5


@pytest.mark.parametrize("seeds", first(3, range(300, 306)))
@pytest.mark.parametrize("family", ["plain", "parallel", "slots", "carriers", "mixed", "entering"])
def test_random_lines_lose_no_more_loads_than_their_least_schedules(
    family: str, seeds: range
) -> None:
    met = 0
    for seed in seeds:
        problem, degree = FAMILIES[family](seed)
        try:
            result = solve(problem, degree, workers=1, runnable=2)
        except InputError:  # a window without a whole tick
            continue
        if result.runnable is None or result.margin is None:
            continue
        run = result.runnable
        assert verify(problem, run.schedule) == ()
        assert run.cycle_time >= (result.cycle_time or 0)
        if not run.met:
            assert run.margin.out_of_window.share <= result.margin.out_of_window.share
        met += run.met
    assert met >= 1


@pytest.mark.quick
def test_figures_are_those_of_the_schedule_given() -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    schedule = solve(problem, workers=1).schedule
    assert schedule is not None
    longer = replace(schedule, cycle=schedule.cycle + 40)
    figures = margin_figures(problem, accepted(problem, longer))
    assert figures.cycle_time == longer.time(longer.cycle)
    assert figures.loads_per_cycle == 1


@pytest.mark.quick
@pytest.mark.parametrize("near", [True, False])
def test_other_orders_are_looked_for_near_the_least_cycle_first(
    near: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A first cycle three times as long, made shorter step by step, took all of the time."""
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    least = solve(problem, degree=1, workers=1).schedule
    assert least is not None
    asked: list[tuple[int, float]] = []

    def look(instance: Instance, longest: int, clock: Clock, work: float, _: Any) -> Any:
        asked.append((longest, work))
        return (least, False) if near else (None, True)

    monkeypatch.setattr(other_orders, "look_briefly", look)
    found, closed = other_orders.another_order(
        build_instance(problem), 300, Clock(), 1.0, near=least, least=100
    )
    assert asked == [(200, 0.5), (300, 0.5)][: 1 if near else 2]
    assert (found, closed) == ((least, False) if near else (None, True))


@pytest.mark.parametrize(("moves", "seconds"), [(8, 6.0), (15, 6.0), (40, 16.0), (80, 24.0)])
def test_many_moves_have_more_time(moves: int, seconds: float) -> None:
    assert usual_seconds(moves) == seconds


def searched_once() -> tuple[Problem, search.RunnableSearch]:
    """A line, and a search that has tried the order of its least cycle."""
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    least = solve(problem, degree=1, workers=1).schedule
    assert least is not None
    looks = search.RunnableSearch(
        problem, build_instance(problem, margin=False), ASSUMED, Clock(Effort(None, 1))
    )
    looks.consider(least, "the order of moves of the least cycle")
    return problem, looks


@pytest.mark.parametrize("in_time", [True, False])
def test_judging_ends_with_the_clock(in_time: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    problem, looks = searched_once()
    assert looks.best is not None
    judgements: list[Fraction] = []

    def judged(*given: Any) -> runnable.Runnable:
        found = real(*given)
        judgements.append(found.margin.cycle_time)
        return found

    real = runnable.judged
    monkeypatch.setattr(runnable, "judged", judged)
    monkeypatch.setattr(runnable.Runnable, "can_be_run", False)  # other draws never content
    clock = Clock(Effort(None, 1)) if in_time else Clock(Effort(1e-9, 1))
    assert runnable.confirmed(problem, looks, clock) is not None
    assert len(judgements) > 2 if in_time else len(judgements) == 1


@pytest.mark.parametrize("content", [0, 1, None])
def test_a_longer_one_that_passed_is_told_where_draws_refuse_the_shorter(
    content: int | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Fresh draws are content with the first that passed, the shorter second one, or with none."""
    problem, looks = searched_once()
    (short,) = looks.passed
    (long, *_) = (c for c in looks.more(short) if c.times.cycle > short.times.cycle)
    looks.passed = [long, short]
    liked = None if content is None else (long, short)[content].times.cycle

    def judged(*given: Any) -> runnable.Runnable:
        found = real(*given)
        out = int(found.schedule.cycle != liked)
        share = replace(found.margin.out_of_window, out=out, loads=1000)
        return replace(found, margin=replace(found.margin, out_of_window=share))

    real = runnable.judged
    monkeypatch.setattr(runnable, "judged", judged)
    monkeypatch.setattr(runnable, "_with_more_room", lambda _, __, found, ___: found)
    found = runnable.confirmed(problem, looks, Clock(Effort(None, 1)))
    assert found is not None and found.met == (content is not None)
    if liked is not None:
        assert found.schedule.cycle == liked


def test_a_few_loads_lost_are_told_where_they_give_clearly_more_good_ones() -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    own = solve(problem, degree=1, workers=1, runnable=True).runnable
    assert own is not None and own.fuller is None  # the least cycle loses most of its loads

    def with_share(cycle: int, out: int) -> runnable.Runnable:
        share = replace(own.margin.out_of_window, out=out, loads=1000)
        figures = replace(
            own.margin, cycle_time=Fraction(cycle), mean_cycle=cycle, out_of_window=share
        )
        return replace(own, margin=figures)

    found = with_share(300, 0)
    assert runnable._beside(found, with_share(290, 1)).fuller is not None
    assert runnable._beside(found, with_share(295, 1)).fuller is None
    assert runnable._beside(found, with_share(200, 100)).fuller is None
