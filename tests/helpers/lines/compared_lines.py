"""A line, changes to it, and comparisons of what they lead to. Invented."""

from __future__ import annotations

import json
from typing import Any

import hoistopt
from hoistopt.analysis.compare import Comparison
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule
from tests.helpers.command import PROBLEMS


def dryer(change: Any = None) -> Problem:
    data = hoistopt.load_problem(PROBLEMS / "three_tanks_dryer.toml").to_data()
    data = json.loads(json.dumps(data, default=float))
    if change is not None:
        change(data)
    return Problem.from_data(data)


def stages_of(data: dict[str, Any]) -> list[dict[str, Any]]:
    return data["recipe"][0]["stage"]


def solved(problem: Problem, degree: int = 1) -> Schedule:
    schedule = hoistopt.solve(problem, degree, workers=1).schedule
    assert schedule is not None
    return schedule


def compared(before: Problem, after: Problem, degree: int = 1) -> Comparison:
    return hoistopt.compare_schedules(before, solved(before), after, solved(after, degree))


def insert(data: dict[str, Any]) -> None:
    stages_of(data).insert(3, {"name": "Again", "station": "Wash", "min": 10, "max": 60})


def remove(data: dict[str, Any]) -> None:
    del stages_of(data)[2]
