"""Schedules and problems as text, to pass them between processes exactly."""

from __future__ import annotations

import json
from dataclasses import astuple
from decimal import Decimal
from fractions import Fraction
from typing import Any

from hoistopt.problem import Problem
from hoistopt.schedule import Schedule, Step


def schedule_to_json(schedule: Schedule) -> dict[str, Any]:
    """A schedule as plain data, ticks as they are."""
    return {
        "cycle": schedule.cycle,
        "ticks_per_unit": str(schedule.ticks_per_unit),
        "steps": [astuple(step) for step in schedule.steps],
    }


def schedule_from_json(data: dict[str, Any]) -> Schedule:
    """The schedule again."""
    steps = tuple(Step(*step) for step in data["steps"])
    return Schedule(data["cycle"], Fraction(data["ticks_per_unit"]), steps)


def problem_to_toml(problem: Problem) -> str:
    """A problem file that says the same."""
    return "".join(f"{key} = {_toml(value)}\n" for key, value in problem.to_data().items())


def _toml(value: Any) -> str:
    if isinstance(value, dict):
        inside = ", ".join(f"{json.dumps(key)} = {_toml(each)}" for key, each in value.items())
        return f"{{ {inside} }}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(_toml, value))}]"
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, str):
        # What JSON escapes in a string TOML understands, as long as none is beyond \uFFFF.
        return json.dumps(value, ensure_ascii=False)
    return str(value).lower() if isinstance(value, bool) else str(value)
