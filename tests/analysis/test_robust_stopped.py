"""Searches by several aims that end early keep what they have, and say so."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

import pytest

from hoistopt import Effort, Stop, load_problem, robust, slack_limits, solve, tradeoff, verify
from hoistopt.base.clock import Clock
from hoistopt.graph.kept_margin import keeps_margins
from hoistopt.instance import Instance, build_instance
from hoistopt.solver import lexicographic
from hoistopt.solver.lexicographic import limited, settle
from tests.helpers.clocks import clock
from tests.helpers.command import PROBLEMS
from tests.helpers.lines.small_schedules import tiny_line

Run = Callable[..., Any]


def stopped_after(calls: int, monkeypatch: pytest.MonkeyPatch) -> Effort:
    """A stop in the search after so many; it is that of the effort returned."""
    run, left, stop = lexicographic.run_model, [calls], Stop()

    def wrapped(*given: Any) -> Any:
        left[0] -= 1
        if left[0] < 0:
            stop.set()
        return run(*given)

    monkeypatch.setattr(lexicographic, "run_model", wrapped)
    return Effort(workers=1, stop=stop)


def out_of_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """No search with a time limit finds anything."""
    run = lexicographic.run_model

    def wrapped(model: Any, clock: Clock) -> Any:
        status, solver = run(model, clock)
        return (status if clock.left is None else "unknown"), solver

    monkeypatch.setattr(lexicographic, "run_model", wrapped)


def test_ctrl_c_keeps_the_aims_met_so_far(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    whole = robust(problem, within=20, aims=["travel", "loads"], workers=1)
    effort = stopped_after(1, monkeypatch)
    found = robust(problem, within=20, aims=["travel", "loads"], effort=effort)
    assert (whole.status, found.status) == ("optimal", "feasible")
    assert found.aims == whole.aims[:1]
    assert found.schedule is not None
    assert verify(problem, found.schedule) == ()


def test_ctrl_c_before_any_aim_leaves_the_shortest_schedule(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    found = robust(problem, aims=["travel"], effort=stopped_after(0, monkeypatch))
    assert (found.status, found.aims) == ("feasible", ())
    assert found.schedule == found.shortest.schedule


def test_ctrl_c_keeps_the_points_found(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    seen: list[Any] = []
    stop = Stop()

    def hear(point: Any) -> None:
        seen.append(point)
        if len(seen) == 2:
            stop.set()

    effort = Effort(workers=1, stop=stop)
    found = tradeoff(problem, measure="float", points=4, effort=effort, on_point=hear)
    assert len(found.points) == 2
    assert not found.complete


def test_out_of_time_the_values_are_those_of_the_schedule_at_hand(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    instance = build_instance(problem, 1)
    schedule = solve(problem, workers=1).schedule
    assert schedule is not None
    aims = ("slack", "travel", "loads", "cycle")
    out_of_time(monkeypatch)
    found = settle(
        limited(instance, schedule.cycle * 2), aims, clock(workers=1), each=5, known=schedule
    )
    assert found.schedule == schedule
    assert [one.proven for one in found.attained] == [False] * 4
    assert [one.value for one in found.attained][::3] == [0, schedule.cycle]
    monkeypatch.undo()
    # Held to those very values, the same aims can come to nothing worse.
    best = settle(limited(instance, schedule.cycle), aims[1:3], clock(workers=1))
    for one, other in zip(found.attained[1:3], best.attained, strict=True):
        assert one.value >= other.value
    nothing = settle(limited(instance, 10), ("cycle",), clock(workers=1))
    assert (nothing.status, nothing.schedule) == ("infeasible", None)


@pytest.mark.parametrize("degree", [1, 2, 3])
def test_a_known_schedule_is_taken_for_what_it_is(degree: int) -> None:
    """The decisions read off a schedule are the model's own: the starts fit to it."""
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    found = solve(problem, degree, workers=1).schedule
    assert found is not None
    search = lexicographic._Search(
        limited(build_instance(problem, degree), found.cycle), clock(workers=1), None, None
    )
    search.schedule, search._hint = found, lexicographic._values(search.instance, found)
    assert search._value_now("cycle") == found.cycle


def test_out_of_time_the_margins_are_those_of_the_schedule_handed_in(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    start = robust(problem, within=20, workers=1).schedule
    assert start is not None
    has = slack_limits(problem, start)
    assert has.least_for_good > 0 and has.least_alone is not None
    out_of_time(monkeypatch)
    found = robust(problem, within=20, start=start, time_limit=5, workers=1)
    assert found.status == "feasible" and found.limits is not None
    assert found.limits.least_for_good >= has.least_for_good
    assert found.limits.least_alone is not None
    assert found.limits.least_alone >= has.least_alone
    assert found.schedule is not None and found.schedule.cycle <= start.cycle
    assert found.aims[0].value >= has.time(has.least_for_good)
    assert not any(aim.proven for aim in found.aims)


def test_a_try_that_takes_long_leaves_time_for_less(monkeypatch: pytest.MonkeyPatch) -> None:
    """More than 2 ticks of float can never be found, and say so only when time is up."""
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    shortest = solve(problem, workers=1).schedule
    assert shortest is not None
    instance = limited(build_instance(problem, 1), shortest.cycle * 6 // 5)
    unlimited = settle(instance, ("float",), clock(workers=1), known=shortest)
    assert unlimited.attained[0].value > 2
    easy = lexicographic._Search._try

    def hard(self: Any, margins: Any, name: Any, clock: Clock) -> str:
        if max(margins.floats) <= 2:
            return easy(self, margins, name, clock)
        while not clock.over:
            time.sleep(0.01)
        return "unknown"

    monkeypatch.setattr(lexicographic._Search, "_try", hard)
    found = settle(instance, ("float",), clock(workers=1), each=4, known=shortest)
    assert (found.attained[0].value, found.attained[0].proven) == (2, False)


def test_a_worse_schedule_found_in_time_is_not_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    shortest = solve(problem, workers=1).schedule
    assert shortest is not None
    instance = limited(build_instance(problem, 1), shortest.cycle * 2)

    def longer(self: Any, margins: Any, name: Any, clock: Clock) -> str:
        self.schedule = replace(self.schedule, cycle=shortest.cycle + 5)
        self.value = shortest.cycle + 5
        return "feasible"

    monkeypatch.setattr(lexicographic._Search, "_try", longer)
    found = settle(instance, ("cycle",), clock(workers=1), known=shortest)
    assert found.schedule == shortest
    assert [(one.value, one.proven) for one in found.attained] == [(shortest.cycle, False)]


def test_a_schedule_no_better_is_not_taken_either_where_time_is_limited(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """It may have less of the aims to come than the one at hand."""
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    shortest = solve(problem, workers=1).schedule
    assert shortest is not None
    instance = limited(build_instance(problem, 1), shortest.cycle * 2)

    def another(self: Any, margins: Any, name: Any, clock: Clock) -> str:
        self.schedule, self.value = replace(shortest, steps=shortest.steps[:1]), shortest.cycle
        return "optimal"

    monkeypatch.setattr(lexicographic._Search, "_try", another)
    found = settle(instance, ("cycle",), clock(workers=1), each=5, known=shortest)
    assert found.schedule == shortest
    assert [(one.value, one.proven) for one in found.attained] == [(shortest.cycle, True)]


@pytest.mark.parametrize("name", ["slack", "float"])
def test_a_schedule_keeps_the_margins_that_the_model_allows_at_its_times(name: str) -> None:
    some = 0
    for seed in range(12):
        problem, degree = tiny_line(seed)
        shortest = solve(problem, degree, workers=1).schedule
        if shortest is None:
            continue
        instance = limited(build_instance(problem, degree), shortest.cycle + 3)
        found = settle(instance, (name,), clock(workers=1), known=shortest).schedule
        for schedule in (shortest, found):
            assert schedule is not None
            search = lexicographic._Search(
                instance, clock(workers=1), None, None, partial(keeps_margins, problem, instance)
            )
            search.schedule = schedule
            search._hint = lexicographic._values(instance, schedule)
            most = search._own(name, 40)
            some += most > 0
            assert at_its_times(search, instance, name, most), seed
            assert most == 40 or not at_its_times(search, instance, name, most + 1), seed
    assert some


def at_its_times(search: Any, instance: Instance, name: str, ticks: int) -> bool:
    """Whether the schedule at hand is one of the model's with a margin."""
    margins = lexicographic.MARGINS[name](instance, ticks, search.margins)
    if lexicographic.lowest_cycle(lexicographic.tightened(instance, margins)) > instance.longest:
        return False
    variables, _ = search._model(margins, search.clock)
    for variable, value in search._named(variables):
        variables.model.add(variable == value)
    return lexicographic.run_model(variables.model, search.clock)[0] == "optimal"


def test_out_of_time_the_order_handed_in_is_drawn_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """In a longer cycle it has more margin, which takes no search."""
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    start = solve(problem, workers=1).schedule
    assert start is not None
    out_of_time(monkeypatch)
    has, more = (
        robust(problem, within=within, aims=["float"], start=start, time_limit=5, workers=1)
        for within in (0, 20)
    )
    assert more.aims[0].value > has.aims[0].value
    assert more.schedule is not None and more.schedule.cycle <= start.cycle * 6 // 5
    # What a longer cycle would make worse is not given up for it.
    found = robust(problem, within=20, aims=["cycle", "float"], start=start, time_limit=5)
    assert found.schedule is not None and found.schedule.cycle == start.cycle
