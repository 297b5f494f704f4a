"""The same line with some of its figures changed."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from ..base.errors import InputError
from ..base.numbers.decimals import on_last_decimal
from ..base.numbers.exact import LARGEST, exact_number
from ..problem import Problem
from ..problem.grid import ticks_per_unit

Window = tuple[Decimal, Decimal | None]
"""Minimum and maximum of a stage."""


def changed(problem: Problem, data: dict[str, Any]) -> Problem:
    """A problem from changed data of `problem`, planned on the grid of `problem`.

    A change must not refine the grid of planned times, or cycle times could differ
    through rounding alone.
    """
    tick = Fraction(1) / ticks_per_unit(problem)
    data = {**data, "tick": Decimal(tick.numerator) / Decimal(tick.denominator)}
    return Problem.from_data(data)


def with_windows(problem: Problem, windows: Mapping[tuple[str, int], Window]) -> Problem:
    """The line with other windows, by recipe and stage counted from 1."""
    data = problem.to_data()
    for recipe in data["recipe"]:
        for number, stage in enumerate(recipe["stage"], start=1):
            if (recipe["name"], number) not in windows:
                continue
            least, most = windows[recipe["name"], number]
            stage["min"] = least
            for key in ("max", "may_give_min", "may_give_max"):  # said of the old window
                stage.pop(key, None)
            if most is not None:
                stage["max"] = most
    return changed(problem, data)


def without_hoists(problem: Problem, hoists: Collection[str]) -> Problem:
    """The line with hoists that make no move; each stands at an end of the track, out of the way.

    Raises
    ------
    InputError
        When the others cannot do what there is to do.
    """
    data = problem.to_data()
    for hoist in data["hoist"]:
        if hoist["name"] in hoists:
            hoist["unreachable"] = [station.name for station in problem.stations]
    return changed(problem, data)


def without_tanks(problem: Problem, tanks: Collection[str]) -> Problem:
    """The line with no load set down in those tanks; they stand where they are, empty.

    Recipes of which no load is in the cycle stay as they are.

    Raises
    ------
    InputError
        When a stage has no other tank, naming it, or none that the hoists can bring loads to.
    """
    data = problem.to_data()
    for recipe in data["recipe"]:
        if recipe["name"] not in problem.load_set:
            continue
        for number, stage in enumerate(recipe["stage"], start=1):
            named = stage["station"]
            names = [named] if isinstance(named, str) else list(named)
            left = [name for name in names if name not in tanks]
            if not left:
                raise InputError(
                    "tanks that leave every stage another one",
                    field=f'recipe "{recipe["name"]}", stage {number}',
                    value=", ".join(names),
                    way_out="Leave one of these in use: no other tank serves that stage.",
                )
            if len(left) < len(names):
                stage["station"] = left
    return changed(problem, data)


def with_occupation(problem: Problem, station: str, least: Decimal) -> Problem:
    """The line with another least occupation of a station at its end."""
    return _with_station(problem, station, min_occupation=least)


def with_rest(problem: Problem, station: str, least: Decimal) -> Problem:
    """The line with another rest of a tank."""
    return _with_station(problem, station, min_rest=least)


def _with_station(problem: Problem, station: str, **figures: Decimal) -> Problem:
    data = problem.to_data()
    for entry in data["station"]:
        if entry["name"] == station:
            entry.update(figures)
    return changed(problem, data)


def with_carriers(problem: Problem, **figures: Any) -> Problem:
    """The line with another number of carriers, or another return time."""
    data = problem.to_data()
    data["carriers"] = {**data.get("carriers", {}), **figures}
    return changed(problem, data)


def with_drip(problem: Problem, recipe: str, stage: int, drip: Decimal) -> Problem:
    """The line with another drip time after a stage."""
    data = problem.to_data()
    for entry in data["recipe"]:
        if entry["name"] == recipe:
            entry["stage"][stage - 1]["drip"] = drip
    return changed(problem, data)


def with_hoist(problem: Problem, hoist: str = "", **figures: Decimal) -> Problem:
    """The line with another time of its hoist, or the one of that name, to lift or to lower."""
    data = problem.to_data()
    for each in _hoists(data, hoist):
        each.update(figures)
    return changed(problem, data)


def _hoists(data: dict[str, Any], name: str) -> list[dict[str, Any]]:
    """The tables of the hoists, or of the one of that name, to be changed in place."""
    found = data.setdefault("hoist", {})
    every = [found] if isinstance(found, dict) else list(found)
    return [each for each in every if not name or each.get("name") == name]


def with_loaded_time(problem: Problem, source: str, target: str, time: Decimal) -> Problem:
    """The line with another time of one loaded move, drip left out, as a table would give it."""
    data = problem.to_data()
    times = data.setdefault("times", {})
    others = [
        entry
        for entry in times.get("loaded", ())
        if (entry["from"], entry["to"]) != (source, target)
    ]
    times["loaded"] = [*others, {"from": source, "to": target, "time": time}]
    return changed(problem, data)


def with_quicker_hoist(problem: Problem, share: Fraction, name: str = "") -> Problem:
    """The line with a hoist whose every time is shorter by `share`, drip excepted.

    Lifting, lowering, settling and times from tables shrink by that share, speeds and
    accelerations rise so that travel does. Times are rounded up to six decimals, speeds
    down.

    Parameters
    ----------
    name : str
        Of several hoists the one that is quicker; by default all are. What a station asks of
        every hoist stays as it is where one alone is quicker.
    """
    left = 1 - share
    data = problem.to_data()
    for hoist in _hoists(data, name):
        _quicken(hoist, left)
    if name:
        return changed(problem, data)
    for station in data["station"]:
        _shrink(station, ("lift", "lower", "settling"), left)
    for table in data.get("times", {}).values():
        for entry in table if isinstance(table, list | tuple) else ():
            _shrink(entry, ("time",), left)
    return changed(problem, data)


def _quicken(hoist: dict[str, Any], left: Fraction) -> None:
    _shrink(hoist, ("lift", "lower"), left)
    for key in ("loaded", "empty"):
        motion = hoist.get(key)
        if motion is None:
            continue
        _shrink(motion, ("settling",), left)
        motion["speed"] = _at_most(Fraction(motion["speed"]) / left)
        if motion.get("acceleration") is not None:
            motion["acceleration"] = _at_most(Fraction(motion["acceleration"]) / left**2)


def _shrink(part: dict[str, Any], keys: tuple[str, ...], left: Fraction) -> None:
    for key in keys:
        if part.get(key) is not None:
            part[key] = _at_least(Fraction(part[key]) * left)


def _at_least(value: Fraction) -> Decimal:
    """The nearest decimal a problem can hold that is not below `value`."""
    return exact_number(on_last_decimal(value, "up"))


def _at_most(value: Fraction) -> Decimal:
    return min(LARGEST, exact_number(on_last_decimal(value, "down")))
