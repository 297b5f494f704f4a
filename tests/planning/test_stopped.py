"""A solve that is stopped, or out of time, gives the best so far with a bound that holds."""

from __future__ import annotations

import threading
import time
from dataclasses import fields
from itertools import chain
from pathlib import Path
from typing import Any

import pytest

from hoistopt import (
    Effort,
    InputError,
    Problem,
    Progress,
    Result,
    Stop,
    compare_degrees,
    load_problem,
    solve,
    verify,
)
from hoistopt.app.solve import solve as solve_use
from hoistopt.instance import Instance
from hoistopt.show.schedule.words import outcome
from hoistopt.solver.model.variables import Variables
from tests.helpers.stopping import SOON, has_schedule, stopped

PROBLEMS = Path(__file__).parents[2] / "problems"
LOADS, ENOUGH = 4, 2135
"""A degree that takes minutes, and a cycle time it can surely have: 1067.5 s at half the
degree, proved by a solve without limits, run twice."""


def hard() -> Problem:
    return load_problem(PROBLEMS / "quillhaven_anodising.toml")


def many_alike(stages: int, tanks: int) -> Problem:
    """Invented: so many stages with so many tanks alike each, which make a large model."""
    names = [[f"T{stage}.{tank}" for tank in range(tanks)] for stage in range(stages)]
    stations = [{"name": name, "position": 1 + at} for at, name in enumerate(chain(*names))]
    return Problem.from_data(
        {
            "name": "Many alike tanks",
            "unit": "s",
            "hoist": {"lift": 6, "lower": 5, "loaded": {"speed": 1}, "empty": {"speed": 2}},
            "station": [{"name": "Bench", "kind": "load-unload", "position": 0}, *stations],
            "recipe": [
                {
                    "name": "R",
                    "stage": [{"station": some, "min": 60, "max": 400} for some in names],
                }
            ],
        }
    )


def threads_of_searches() -> set[threading.Thread]:
    return set(threading.enumerate())


@pytest.mark.parametrize("workers", [1, 2])
def test_stopped_from_another_thread_it_keeps_the_best(workers: int) -> None:
    problem = hard()
    before = threads_of_searches()
    with stopped(0.5, once=has_schedule, workers=workers) as effort:
        found = solve(problem, LOADS, effort=effort)
    assert found.status == "feasible" and found.stopped
    assert "stopped after " in outcome(problem, found)
    assert found.schedule is not None and verify(problem, found.schedule) == ()
    assert found.cycle_time is not None and found.lower_bound is not None
    assert 0 < found.lower_bound <= min(found.cycle_time, ENOUGH)
    assert threads_of_searches() <= before, "a thread searches on"


def test_stopped_while_it_chooses_a_degree_it_says_so_and_a_time_limit_is_no_stop() -> None:
    problem = hard()
    with stopped(0.5, once=has_schedule, workers=1) as effort:
        found = solve(problem, "best", effort=effort)
    assert found.choice is not None and found.choice.ended == "stopped" and found.stopped
    assert "stopped after " in outcome(problem, found)
    limited = solve(problem, LOADS, time_limit=2, workers=1)
    assert limited.status == "feasible" and not limited.stopped
    assert "stopped" not in outcome(problem, limited)


def test_stopped_before_it_begins_it_ends_at_once() -> None:
    stop = Stop()
    stop.set()
    began = time.monotonic()
    found = solve(hard(), LOADS, effort=Effort(stop=stop))
    assert time.monotonic() - began < SOON
    assert (found.status, found.schedule) == ("unknown", None) and found.stopped
    assert found.lower_bound is not None and 0 <= found.lower_bound <= ENOUGH


def test_stopped_while_the_model_is_built_it_ends_soon(monkeypatch: pytest.MonkeyPatch) -> None:
    problem, begun, make = many_alike(10, 25), threading.Event(), Variables.__init__

    def making(self: Variables, instance: Instance, *given: Any) -> None:
        if any(len(stay.places) == 25 for stay in instance.stays):  # of all tanks, not of groups
            begun.set()
        make(self, instance, *given)

    monkeypatch.setattr(Variables, "__init__", making)
    with stopped(0.5, begun=begun) as effort:
        found = solve(problem, effort=effort)
    assert begun.is_set()
    assert found.status in ("feasible", "unknown")
    assert found.schedule is None or verify(problem, found.schedule) == ()


def test_a_time_limit_holds_while_the_model_is_built() -> None:
    problem = many_alike(10, 25)
    began = time.monotonic()
    found = solve(problem, time_limit=1, workers=1)
    assert not found.stopped
    assert time.monotonic() - began < 1 + SOON / 2
    assert found.status in ("feasible", "unknown")
    assert found.runtime < 1 + SOON / 2


def test_of_several_degrees_the_first_stopped_is_the_last_searched() -> None:
    with stopped(0.5) as effort:
        answer = solve_use(hard(), (LOADS, 5, 6), effort)
    assert [result.degree for result in answer.results] == [LOADS]
    with stopped(1) as effort:
        results = compare_degrees(hard(), [1, LOADS, 5], effort=effort)
    assert [result.degree for result in results] == [1, LOADS, 5]
    assert results[-1].status == "unknown"


def test_an_effort_finds_what_single_arguments_find() -> None:
    for name in ("quillhaven_anodising", "hoist_limits", "mixed_recipes"):
        problem = load_problem(PROBLEMS / f"{name}.toml")
        one = solve(problem, workers=1, seed=3)
        other = solve(problem, effort=Effort(workers=1, seed=3, stop=Stop()))
        assert (one.schedule, one.cycle_time) == (other.schedule, other.cycle_time)


def test_progress_and_result_call_the_same_figures_the_same() -> None:
    shared = {"cycle_time", "lower_bound", "runtime"}
    assert shared <= {field.name for field in fields(Progress)}
    assert shared <= {field.name for field in fields(Result)}
    heard: list[Progress] = []
    found = solve(hard(), effort=Effort(workers=1, on_progress=heard.append))
    assert heard[-1].cycle_time == found.cycle_time
    assert all((news.lower_bound or 0) <= (found.lower_bound or 0) for news in heard)
    assert all(0 <= news.runtime <= found.runtime for news in heard)


@pytest.mark.parametrize(
    "twice", [{"time_limit": 1}, {"workers": 1}, {"seed": 1}, {"on_progress": print}]
)
def test_an_effort_and_a_part_of_one_are_refused(twice: dict[str, Any]) -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    with pytest.raises(InputError, match="not both"):
        solve(problem, effort=Effort(), **twice)
    with pytest.raises(InputError, match="not both"):
        compare_degrees(problem, [1], effort=Effort(), **twice)
