"""Every inquiry ends soon when another thread stops it, and gives what it knows by then."""

from __future__ import annotations

import time
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest

from hoistopt import (
    Effort,
    InputError,
    Problem,
    Progress,
    Schedule,
    Step,
    Stop,
    find_conflict,
    find_levers,
    jitter,
    least_for_order,
    load_problem,
    robust,
    solve,
    study,
    tradeoff,
    verify,
)
from hoistopt.base.errors import StoppedError
from tests.helpers.command import PROBLEMS
from tests.helpers.stopping import SOON, has_schedule, stopped

LEAST = Fraction("787.2"), Fraction("1067.5")
"""Least cycle times of the line below at degree 1 and 2, proved by solves without limits."""


def line() -> Problem:
    return load_problem(PROBLEMS / "quillhaven_anodising.toml")


def order_of(problem: Problem, degree: int) -> Schedule:
    """The order of a schedule of the line, with nothing said of loads and restarts."""
    with stopped(0.2, once=has_schedule) as effort:
        found = solve(problem, degree, effort=effort).schedule
    assert found is not None
    steps = sorted(found.steps, key=lambda step: step.start)
    bare = tuple(Step(number, step.source, step.target) for number, step in enumerate(steps))
    return Schedule(len(bare), Fraction(1), bare)


def before_it_begins() -> Effort:
    stop = Stop()
    stop.set()
    return Effort(workers=1, stop=stop)


def doing(words: str) -> Callable[[Progress], bool]:
    return lambda news: words in news.doing


@pytest.mark.parametrize(("words", "degree"), [("as it is", 2), ("limits together", 1)])
def test_levers_are_left_open(words: str, degree: int) -> None:
    with stopped(0 if degree == 1 else 0.6, once=doing(words)) as effort:
        found = find_levers(line(), degree, effort=effort)
    assert found.status in ("feasible", "unknown", "optimal")
    if found.cycle_time is None:
        return
    assert found.bound is not None and 0 < found.bound <= LEAST[degree - 1] <= found.cycle_time
    assert any(not lever.proven for lever in found.levers)
    assert all(lever.bound <= (lever.cycle_time or found.cycle_time) for lever in found.levers)


@pytest.mark.parametrize(
    ("words", "degree"), [("any schedule", 2), ("without the limit", 2), ("what conflicts", 1)]
)
def test_a_conflict_is_as_small_as_it_got(words: str, degree: int) -> None:
    hasty = find_conflict(line(), degree, at_most=450, effort=before_it_begins())
    assert hasty.status == "unknown" and hasty.relaxations == ()
    with stopped(0.5 if degree == 2 else 0, once=doing(words)) as effort:
        found = find_conflict(line(), degree, at_most=700 if degree == 1 else 900, effort=effort)
    assert found.status in ("unknown", "none")
    assert found.least is None or found.least >= LEAST[degree - 1]
    if words == "what conflicts":
        assert found.status == "none" and found.subset is not None
        assert found.subset.demands and None in found.subset.necessary


def test_an_order_runs_though_the_best_is_not_known() -> None:
    problem = line()
    order = order_of(problem, 2)
    assert least_for_order(problem, order, effort=before_it_begins()).status == "unknown"
    with stopped(0.5, once=doing("best order")) as effort:
        found = least_for_order(problem, order, effort=effort)
    assert found.status == "runs" and found.schedule is not None
    assert verify(problem, found.schedule) == ()
    assert found.best_bound is not None and 0 < found.best_bound <= LEAST[1]
    assert found.cycle_time is not None and found.cycle_time >= LEAST[1]


@pytest.mark.parametrize("degree", [1, 2])
def test_robust_keeps_a_schedule(degree: int) -> None:
    once = doing("float") if degree == 1 else has_schedule
    problem = line()
    with stopped(0.1 if degree == 1 else 0.3, once=once) as effort:
        found = robust(problem, degree, within=10, aims=["float", "travel"], effort=effort)
    assert found.status == "feasible" and found.schedule is not None
    assert verify(problem, found.schedule) == ()
    assert found.shortest.lower_bound is not None
    assert Fraction(str(found.shortest.lower_bound)) <= LEAST[degree - 1]
    assert not [aim for aim in found.aims[1:] if aim.proven]


def test_a_trade_off_keeps_its_points() -> None:
    problem = line()
    with stopped(0.3, once=lambda news: news.done >= 1) as effort:
        found = tradeoff(problem, upto=10, points=50, effort=effort)
    assert found.points and not found.complete
    assert found.points[0].cycle_time == LEAST[0]
    for point in found.points:
        assert verify(problem, point.schedule) == ()


def test_a_study_cancels_what_is_left_and_keeps_what_is_done() -> None:
    with stopped(0.3, once=lambda news: news.done >= 1, workers=1) as effort:
        found = study(line(), {"degree": [1, 7, 8, 9]}, effort=effort)
    assert not found.complete
    assert [point.status for point in found.points] == ["optimal", *["not run"] * 3]


def test_jitter_counts_the_cycles_run() -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    schedule = solve(problem, workers=1).schedule
    assert schedule is not None
    whole: dict[str, Any] = {"runs": 5, "cycles": 60, "warm_up": 4}
    full = jitter(problem, schedule, ["move plus uniform 0 4"], **whole)

    class Late(Stop):
        """Set by being asked for the thirtieth time: half-way through the cycles."""

        asked = 0

        def is_set(self) -> bool:
            self.asked += 1
            return self.asked >= 30

    found = jitter(
        problem, schedule, ["move plus uniform 0 4"], **whole, effort=Effort(stop=Late())
    )
    assert full.complete and not found.complete
    assert 2 <= found.cycles < full.cycles
    assert found.stages[0].longest <= full.stages[0].longest
    with pytest.raises(StoppedError, match="before enough cycles"):
        jitter(problem, schedule, [], **whole, effort=before_it_begins())


def test_stopped_before_they_begin_all_end_at_once() -> None:
    problem, effort = line(), before_it_begins()
    began = time.monotonic()
    assert find_levers(problem, 2, effort=effort).status == "unknown"
    assert robust(problem, 2, effort=effort).status == "unknown"
    curve = tradeoff(problem, 2, effort=effort)
    assert (curve.points, curve.complete) == ((), False)
    found = study(problem, {"degree": [1, 2]}, effort=effort)
    assert {point.status for point in found.points} == {"not run"} and not found.complete
    assert time.monotonic() - began < SOON


@pytest.mark.parametrize(
    "ask",
    [
        lambda more: find_levers(line(), **more),
        lambda more: find_conflict(line(), **more),
        lambda more: least_for_order(line(), Schedule(1, Fraction(1), ()), **more),
        lambda more: robust(line(), **more),
        lambda more: tradeoff(line(), **more),
        lambda more: study(line(), {"degree": [1]}, **more),
        lambda more: jitter(line(), Schedule(1, Fraction(1), ()), [], **more),
    ],
)
def test_an_effort_and_a_part_of_one_are_refused(ask: Callable[[dict[str, Any]], Any]) -> None:
    with pytest.raises(InputError, match="not both"):
        ask({"effort": Effort(), "seed": 5})
