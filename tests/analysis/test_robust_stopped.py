"""Searches by several aims that end early keep what they have, and say so."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from hoistopt import Effort, Stop, load_problem, robust, solve, tradeoff, verify
from hoistopt.base.clock import Clock
from hoistopt.instance import build_instance
from hoistopt.solver import lexicographic
from hoistopt.solver.lexicographic import limited, settle
from tests.helpers.clocks import clock
from tests.helpers.command import PROBLEMS

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
