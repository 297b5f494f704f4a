"""What differs between two problems, key by key, in the words of the problem file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from ...problem import Problem
from .stages import Stages

Value = str | Decimal
"""What stands at a key: a number as one, all else as text."""


@dataclass(frozen=True)
class Change:
    """One key that differs: where, its name, and its values; None where it is not there."""

    place: str
    key: str
    before: Value | None
    after: Value | None

    @property
    def texts(self) -> tuple[str | None, str | None]:
        """Both values as they would be written."""
        before, after = (
            f"{value:f}" if isinstance(value, Decimal) else value
            for value in (self.before, self.after)
        )
        return before, after


def changes(before: Problem, after: Problem, stages: Stages) -> list[Change]:
    """Every difference between two problems that can matter to a schedule.

    Parameters
    ----------
    before, after : Problem
    stages : Stages
        Which stage is which.
    """
    old, new = _flat(before, stages, after=False), _flat(after, stages, after=True)
    places = dict.fromkeys((*old, *new))
    found: list[Change] = []
    for place in places:
        here, there = old.get(place), new.get(place)
        if here is None or there is None:
            found.append(Change(place, "", _there_or_not(here), _there_or_not(there)))
            continue
        for key in dict.fromkeys((*here, *there)):
            if here.get(key) != there.get(key):
                found.append(Change(place, key, here.get(key), there.get(key)))
    return found


def _there_or_not(part: object) -> Value | None:
    return None if part is None else "there"


def _flat(problem: Problem, stages: Stages, *, after: bool) -> dict[str, dict[str, Value]]:
    """Keys and values by the place they stand in."""
    data = problem.to_data()
    found: dict[str, dict[str, Value]] = {"line": {}}
    for key in ("unit", "tick", "length_unit"):
        if key in data:
            found["line"][key] = _value(data[key])
    for part in ("track", "carriers", "cycle"):
        found[part] = dict(_keys(data.get(part, {})))
    hoists = data.get("hoist", {})
    for hoist in hoists if isinstance(hoists, list | tuple) else (hoists,):
        several = len(problem.hoists) > 1
        found[f'hoist "{hoist["name"]}"' if several else "hoist"] = dict(_keys(hoist, "name"))
    for station in data["station"]:
        found[f'station "{station["name"]}"'] = dict(_keys(station, "name"))
    for recipe in data["recipe"]:
        name = recipe["name"]
        found[f'recipe "{name}"'] = dict(_keys(recipe, "name", "stage"))
        for number, stage in enumerate(recipe["stage"], start=1):
            found[_stage_place(name, number, stages, problem, after=after)] = dict(_keys(stage))
    for kind in ("loaded", "empty"):
        for entry in data.get("times", {}).get(kind, ()):
            place = f"times, {kind}, {entry['from']} to {entry['to']}"
            found[place] = {"time": _value(entry["time"])}
    for number, crossing in enumerate(data.get("crossing", ()), start=1):
        found[f"crossing {number}"] = dict(_keys(crossing))
    return found


def _stage_place(recipe: str, number: int, stages: Stages, problem: Problem, *, after: bool) -> str:
    """The same words for the same stage on both sides."""
    _, sides, shared = stages.shared(recipe, number, after=after)
    if sides == "both":
        return f'recipe "{recipe}", stage {shared}'
    label = problem.recipe_by_name[recipe].stages[number - 1].label
    return f'recipe "{recipe}", stage {number} {sides} ("{label}")'


def _keys(part: Mapping[str, Any], *left_out: str) -> Iterator[tuple[str, Value]]:
    for key, value in part.items():
        if key in left_out:
            continue
        if isinstance(value, dict):
            yield from ((f"{key}, {inner}", held) for inner, held in _keys(value))
        else:
            yield key, _value(value)


def _value(value: Any) -> Value:
    """A number as it is, all else as text."""
    number = isinstance(value, Decimal | int) and not isinstance(value, bool)
    return Decimal(value) if number else _text(value)


def _text(value: Any) -> str:
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, tuple | list):
        return ", ".join(_text(part) for part in value)
    return str(value)
