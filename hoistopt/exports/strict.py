"""The line as the controller will run it: every window and drip in whole units.

A controller that waits for a least dwell of 91 s, where the recipe says 90.5 s, needs a
schedule that grants 91 s. So minima and drips are rounded up, maxima down, and every
schedule for the controller is checked against the stricter line too.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from ..base.errors import InputError
from ..problem import Problem
from .units import TimeUnit


def strict_problem(problem: Problem, unit: TimeUnit) -> Problem:
    """The same line with minima and drips rounded up to whole units, maxima down.

    A bound on the cycle time is left as it is: the cycle time itself is in whole units.

    Raises
    ------
    InputError
        When a window holds no whole unit.
    """
    data = problem.to_data()
    for station in data["station"]:
        _round(station, "min_occupation", problem, unit, up=True)
    for recipe in data["recipe"]:
        for number, stage in enumerate(recipe["stage"], start=1):
            _round_window(stage, f'recipe "{recipe["name"]}", stage {number}', problem, unit)
    for crossing in data.get("crossing", ()):
        _round(crossing, "min_drip", problem, unit, up=True)
    return Problem.from_data(data)


def _round_window(stage: dict[str, Any], field: str, problem: Problem, unit: TimeUnit) -> None:
    stage.pop("nominal", None)  # may lie outside the narrower window; no rule asks for it
    most = stage.get("max")
    _round(stage, "min", problem, unit, up=True)
    _round(stage, "max", problem, unit, up=False)
    _round(stage, "drip", problem, unit, up=True)
    if most is not None and stage["min"] > stage["max"]:
        raise InputError(
            f"a window that holds a whole number of {unit.label}",
            field=f"{field}, max",
            value=most,
            way_out="Choose a finer time unit.",
        )


def _round(part: dict[str, Any], key: str, problem: Problem, unit: TimeUnit, *, up: bool) -> None:
    value: Decimal | None = part.get(key)
    if value is not None:
        units = unit.up(value, problem) if up else unit.down(value, problem)
        part[key] = unit.decimal(units, problem, up=up)
