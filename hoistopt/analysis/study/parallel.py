"""Several equal stations where the file has one: `parallel(Dryer) = 2`."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from itertools import pairwise
from typing import Any

from ...base.errors import InputError
from ...problem import Problem
from .hoists import hoists_in
from .keypath import KeyPath
from .levels import Value, read_value, written
from .settings import Data, named

MOST = 20


def set_parallel(data: Data, path: KeyPath, value: Value) -> None:
    """Let so many equal stations serve wherever the one named does.

    1 leaves the line as it is. Copies stand next to the station, one pitch further along
    the track each, and all stations beyond move on to make room; a pitch is the least
    distance between two stations of the line. Or they stand at the positions given:
    ``parallel(Dryer, 12.5, 13.5)``. Every stage served by the station may use its copies.
    Times in tables hold for the copies too, unless positions are given for them. 0 takes
    the station out, where its stages have others.

    Raises
    ------
    InputError
        When there is no such tank, or not this many.
    """
    name, *places = path.parts[0].arguments or ("",)
    original = named(data["station"], name, "station", path)
    if original.get("kind", "tank") not in ("tank", "dryer"):
        raise InputError(
            'a station of kind "tank" or "dryer"',
            field=str(path),
            value=name,
            way_out="At the ends of the line vary station(NAME).capacity.",
        )
    if not isinstance(value, int) or not 0 <= value <= MOST:
        raise InputError(f"a whole number from 0 to {MOST}", field=str(path), value=written(value))
    if value == 0:
        _take_out(data, name, path)
        return
    positions = [_position(place, path) for place in places]
    if places and value - 1 > len(places):
        raise InputError(
            f"a position for each of {value - 1} copies",
            field=str(path),
            way_out=f"Write parallel({name}, POSITION, POSITION, ...).",
        )
    copies = _names(data, name, value - 1)
    if copies and not places:
        positions = _make_room(data, original, len(copies))
        _copy_times(data, original, copies)
    for copy, position in zip(copies, positions, strict=False):
        data["station"].append(original | {"name": copy, "position": position})
    for copy in copies[len(positions) :]:
        data["station"].append(original | {"name": copy})
    _serve(data, name, copies)


def lengthened(problem: Problem, copied: Problem, settings: Mapping[str, Value]) -> str | None:
    """What to say of copies that made the track longer, to whoever finds the line slower.

    Parameters
    ----------
    problem, copied : Problem
        The line as it is, and as it was set.
    settings : mapping
        The parameters set in it, by name.
    """
    names = [name for name in settings if name.startswith("parallel(")]
    longer = _length(copied) - _length(problem)
    if not names or longer <= 0:
        return None
    told = ", ".join(f"{name} = {written(settings[name])}" for name in names)
    return (
        f"{told}: the copies lengthen the track by {longer:f} {problem.length_unit}, as all "
        "stations beyond them move on, and a load takes longer than on the line as it is. "
        "Where there is room for them, give positions: parallel(STATION, POSITION)."
    )


def _length(problem: Problem) -> Decimal:
    known = [station.position for station in problem.stations if station.position is not None]
    return max(known) - min(known) if known else Decimal(0)


def _position(text: str, path: KeyPath) -> int | Decimal:
    value = read_value(text, str(path))
    if isinstance(value, str | None):
        raise InputError("a position along the track", field=str(path), value=text)
    return value


def _names(data: Data, name: str, count: int) -> list[str]:
    taken = {station["name"] for station in data["station"]}
    found: list[str] = []
    number = 2
    while len(found) < count:
        copy = f"{name[:72]} ({number})"
        if copy not in taken:
            found.append(copy)
        number += 1
    return found


def _make_room(data: Data, original: Data, count: int) -> list[Any]:
    """Positions of the copies; whatever stands beyond moves on. None without positions."""
    here = original.get("position")
    if here is None:
        return []
    known = sorted({s["position"] for s in data["station"] if s.get("position") is not None})
    pitch = min((b - a for a, b in pairwise(known)), default=Decimal(1))
    for station in data["station"]:
        if station.get("position") is not None and station["position"] > here:
            station["position"] += pitch * count
    return [here + pitch * number for number in range(1, count + 1)]


def _copy_times(data: Data, original: Data, copies: list[str]) -> None:
    times, name = data.get("times", {}), original["name"]
    for key in ("loaded", "empty"):
        entries = times.get(key, [])
        for entry in list(entries):
            if name in (entry["from"], entry["to"]):
                entries += [
                    {end: copy if value == name else value for end, value in entry.items()}
                    for copy in copies
                ]
    by_speed = (
        all("empty" in hoist for hoist in hoists_in(data)) and original.get("position") is not None
    )
    if not by_speed:
        # As if all stood at one place, like the times copied.
        alike = [name, *copies]
        times.setdefault("empty", []).extend(
            {"from": a, "to": b, "time": 0} for a in alike for b in alike if a != b
        )
        data["times"] = times


def _serve(data: Data, name: str, copies: list[str]) -> None:
    for recipe in data["recipe"]:
        for stage in recipe["stage"]:
            stage["station"] = _with(_several(stage["station"]), name, copies)
    for hoist in hoists_in(data):
        if "unreachable" in hoist:
            hoist["unreachable"] = _with(hoist["unreachable"], name, copies)
    for crossing in data.get("crossing", []):
        for end in ("from", "over"):
            crossing[end] = _with(crossing[end], name, copies)


def _several(stations: Any) -> list[str]:
    return [stations] if isinstance(stations, str) else list(stations)


def _with(names: list[str], name: str, copies: list[str]) -> list[str]:
    return [*names, *copies] if name in names else names


def _take_out(data: Data, name: str, path: KeyPath) -> None:
    for recipe in data["recipe"]:
        for stage in recipe["stage"]:
            left = [each for each in _several(stage["station"]) if each != name]
            if not left:
                raise InputError(
                    "1 or more, as a stage has no other station",
                    field=str(path),
                    value=0,
                    way_out=f'Stage "{stage.get("name") or name}" of recipe '
                    f'"{recipe["name"]}" needs it.',
                )
            stage["station"] = left
