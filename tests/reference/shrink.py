"""The same kind of line with times of a few ticks, for search over every start tick."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from hoistopt.problem import Problem

_TIMES = {
    "min",
    "max",
    "drip",
    "min_drip",
    "min_occupation",
    "min_rest",
    "return_time",
    "lift",
    "lower",
}


def shrunk(problem: Problem, factor: int) -> Problem:
    """All times divided by a factor and rounded to ticks; no loaded move takes none."""
    tick = problem.tick or Decimal(1)

    def ticks(time: object, least: int = 0) -> Decimal:
        steps = (Decimal(str(time)) / factor / tick).to_integral_value(ROUND_HALF_UP)
        return max(steps, Decimal(least)) * tick

    def walk(value: Any) -> Any:
        if isinstance(value, list | tuple):
            return [walk(part) for part in value]
        if not isinstance(value, dict):
            return value
        made = {key: walk(part) for key, part in value.items()}
        for key in _TIMES & made.keys():
            if made[key] is not None:
                made[key] = ticks(made[key], least=key == "lower")
        if "speed" in made:
            made["speed"] *= factor
            made["settling"] = ticks(made.get("settling", 0))
        if made.get("acceleration") is not None:
            made["acceleration"] *= factor**2
        return made

    data = walk(problem.to_data())
    for key, least in (("loaded", 1), ("empty", 0)):
        for entry in data.get("times", {}).get(key, ()):
            entry["time"] = ticks(entry["time"], least)
    return Problem.from_data(data)
