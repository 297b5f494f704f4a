"""Searches by several aims that end early keep what they have, and say so."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from hoistopt import load_problem, robust, solve, trade_off, verify
from hoistopt.instance import build_instance
from hoistopt.solver import lexicographic
from hoistopt.solver.lexicographic import limited, settle
from tests.helpers.command import PROBLEMS

Run = Callable[..., Any]


def interrupted_after(calls: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C in the search after so many."""
    run, left = lexicographic.run_model, [calls]

    def wrapped(*given: Any, **options: Any) -> Any:
        left[0] -= 1
        if left[0] < 0:
            raise KeyboardInterrupt
        return run(*given, **options)

    monkeypatch.setattr(lexicographic, "run_model", wrapped)


def out_of_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """No search with a time limit finds anything."""
    run = lexicographic.run_model

    def wrapped(model: Any, **options: Any) -> Any:
        status, solver = run(model, **options)
        return ("unknown" if options.get("time_limit") else status), solver

    monkeypatch.setattr(lexicographic, "run_model", wrapped)


def test_ctrl_c_keeps_the_aims_met_so_far(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    whole = robust(problem, within=20, aims=["travel", "loads"], workers=1)
    interrupted_after(1, monkeypatch)
    found = robust(problem, within=20, aims=["travel", "loads"], workers=1)
    assert (whole.status, found.status) == ("optimal", "feasible")
    assert found.aims == whole.aims[:1]
    assert found.schedule is not None
    assert verify(problem, found.schedule) == ()


def test_ctrl_c_before_any_aim_leaves_the_shortest_schedule(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    interrupted_after(0, monkeypatch)
    found = robust(problem, aims=["travel"], workers=1)
    assert (found.status, found.aims) == ("feasible", ())
    assert found.schedule == found.shortest.schedule


def test_ctrl_c_keeps_the_points_found(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    seen: list[Any] = []

    def stop(point: Any) -> None:
        seen.append(point)
        if len(seen) == 2:
            raise KeyboardInterrupt

    found = trade_off(problem, measure="float", points=4, workers=1, on_point=stop)
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
        limited(instance, schedule.cycle * 2), aims, time_limit=5, workers=1, known=schedule
    )
    assert found.schedule == schedule
    assert [one.proven for one in found.attained] == [False] * 4
    assert [one.value for one in found.attained][::3] == [0, schedule.cycle]
    monkeypatch.undo()
    # Held to those very values, the same aims can come to nothing worse.
    best = settle(limited(instance, schedule.cycle), aims[1:3], workers=1)
    for one, other in zip(found.attained[1:3], best.attained, strict=True):
        assert one.value >= other.value
    nothing = settle(limited(instance, 10), ("cycle",), workers=1)
    assert (nothing.status, nothing.schedule) == ("infeasible", None)


@pytest.mark.parametrize("degree", [1, 2, 3])
def test_a_known_schedule_is_taken_for_what_it_is(degree: int) -> None:
    """The decisions read off a schedule are the model's own: the starts fit to it."""
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    found = solve(problem, degree, workers=1).schedule
    assert found is not None
    search = lexicographic._Search(
        limited(build_instance(problem, degree), found.cycle), None, 1, 0, None
    )
    search.schedule, search._hint = found, lexicographic._values(search.instance, found)
    assert search._value_now("cycle") == found.cycle
