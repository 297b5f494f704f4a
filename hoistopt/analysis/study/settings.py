"""Set a place in a problem's plain data to a value."""

from __future__ import annotations

from typing import Any

from ...base.errors import InputError
from ...base.text import first_of, nearest_or_known
from ...problem import Problem
from .hoists import hoists_of
from .keypath import WAY_OUT, KeyPath, Part
from .levels import Value, written

Data = dict[str, Any]
TABLES = ("hoist", "cycle", "carriers", "track")
NEEDED_THERE = {("hoist", "loaded"), ("hoist", "empty")}
"""Tables that a parameter does not bring into being: without them times come from tables."""


def plain_data(problem: Problem) -> Data:
    """A problem as plain data that may be changed."""
    copied: Data = _copy(problem.to_data())
    return copied


def _copy(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _copy(each) for key, each in value.items()}
    return [_copy(each) for each in value] if isinstance(value, list | tuple) else value


def set_value(data: Data, path: KeyPath, value: Value) -> None:
    """Change the place that a path names, as typing the value into the file would.

    Raises
    ------
    InputError
        When there is no such place.
    """
    first = path.parts[0]
    if first.key == "hoist" and len(path.parts) > 1:
        for hoist in hoists_of(data, first, path):
            _set(data | {"hoist": hoist}, KeyPath((Part("hoist"), *path.parts[1:])), value)
        return
    _set(data, path, value)


def _set(data: Data, path: KeyPath, value: Value) -> None:
    *before, last = path.parts
    here = data
    for number, part in enumerate(before):
        here = _into(data, here, part, path, inside=before[number - 1].key if number else None)
    if last.key == "mix" and last.arguments:
        _set_mix(data, path, value)
        return
    if last.arguments or not before:
        raise InputError("a key that holds a value", field=str(path), way_out=WAY_OUT)
    if value is None:
        here.pop(last.key, None)
    else:
        here[last.key] = value


def _into(data: Data, here: Data, part: Part, path: KeyPath, inside: str | None) -> Data:
    if inside is None and part.key in TABLES and not part.arguments:
        table: Data = here.setdefault(part.key, {})
        return table
    if (inside, part.key) in NEEDED_THERE and not part.arguments:
        if part.key not in here:
            raise InputError(
                f"a line whose file gives {inside}.{part.key}",
                field=str(path),
                way_out="Its travel times come from tables, which this would not change.",
            )
        motion: Data = here[part.key]
        return motion
    if len(part.arguments) != 1:
        raise InputError("keys of the problem file", field=str(path), way_out=WAY_OUT)
    (name,) = part.arguments
    if inside is None and part.key in ("station", "recipe"):
        return named(here.get(part.key, []), name, part.key, path)
    if inside is None and part.key == "crossing":
        return _numbered(here.get("crossing", []), name, "crossing", path)
    if part.key == "stage" and inside in (None, "recipe"):
        recipes = [here] if inside else data["recipe"]
        return _stage(
            [stage for recipe in recipes for stage in recipe["stage"]], name, path, inside
        )
    raise InputError("keys of the problem file", field=str(path), way_out=WAY_OUT)


def named(entries: list[Data], name: str, what: str, path: KeyPath) -> Data:
    for entry in entries:
        if entry["name"] == name:
            return entry
    raise InputError(
        f"the name of a {what} of this line",
        field=str(path),
        value=name,
        way_out=nearest_or_known(name, [entry["name"] for entry in entries]),
    )


def _numbered(entries: list[Data], number: str, what: str, path: KeyPath) -> Data:
    if number.isascii() and number.isdigit() and 1 <= int(number[:6]) <= len(entries):
        return entries[int(number) - 1]
    raise InputError(
        f"the number of a {what}, from 1 to {len(entries)}", field=str(path), value=number
    )


def _stage(stages: list[Data], name: str, path: KeyPath, inside: str | None) -> Data:
    """The one stage of that label; within a recipe its number from 1 will do."""
    matching = [stage for stage in stages if _label(stage) == name]
    if len(matching) == 1:
        return matching[0]
    if not matching and inside is not None and name.isdigit():
        return _numbered(stages, name, "stage", path)
    if matching:
        raise InputError(
            "a stage that only one stage is called",
            field=str(path),
            value=name,
            way_out="Write recipe(NAME).stage(NUMBER), or name the stages in the file.",
        )
    return named([{"name": _label(stage)} for stage in stages], name, "stage", path)


def _label(stage: Data) -> str:
    name: str = stage.get("name") or (
        stage["station"] if isinstance(stage["station"], str) else stage["station"][0]
    )
    return name


def _set_mix(data: Data, path: KeyPath, value: Value) -> None:
    """Loads of one recipe in a set; the others keep theirs."""
    names = [recipe["name"] for recipe in data["recipe"]]
    (name,) = path.parts[-1].arguments
    named([{"name": each} for each in names], name, "recipe", path)
    cycle = data.setdefault("cycle", {})
    _without_order(cycle, path)
    mix = cycle.setdefault("mix", dict.fromkeys(names, 1))
    if value == 0:
        mix.pop(name, None)
    else:
        mix[name] = value


def set_whole_mix(data: Data, path: KeyPath, value: Value) -> None:
    """Loads of every recipe in a set, in the order of the file, such as ``2:1``."""
    names = [recipe["name"] for recipe in data["recipe"]]
    counts = str(value).split(":")
    if len(counts) != len(names) or not all(
        count.isascii() and count.isdigit() and len(count) < 4 for count in counts
    ):
        raise InputError(
            f"{len(names)} whole numbers with colons between, one a recipe",
            field=str(path),
            value=written(value),
            way_out=f"In the order of the file: {first_of(names)}.",
        )
    cycle = data.setdefault("cycle", {})
    _without_order(cycle, path)
    cycle["mix"] = {name: int(n) for name, n in zip(names, counts, strict=True) if int(n)}


def _without_order(cycle: Data, path: KeyPath) -> None:
    if "order" in cycle:
        raise InputError(
            "a file without cycle.order, which fixes the mix",
            field=str(path),
            way_out="Take order out of [cycle] and write a mix instead.",
        )
