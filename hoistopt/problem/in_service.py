"""Tanks that are out of service for a while, where some stages need no tank any more."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set
from typing import Any


def with_tanks_out(
    data: dict[str, Any], out: Set[str], needed: Mapping[str, int] | None
) -> dict[str, Any]:
    """The plain data of a problem with tanks out of service.

    A tank that alone serves a stage to which no load comes any more stays in that stage, which is
    never made, and is taken out of all others; it is not marked as out of service, which would
    be an error.

    Parameters
    ----------
    data : dict
        Plain data, as of :meth:`hoistopt.Problem.to_data`.
    out : set of str
        Names of tanks.
    needed : mapping of str to int or None
        By recipe the first stage, from 1, to which a load of it still comes; none comes to a
        stage of a recipe that is not named. None: loads come to all stages.
    """
    stated = {station["name"] for station in data["station"] if station.get("out_of_service")}
    gone = out | stated
    lacking: set[str] = set()
    unused: set[str] = set()
    for recipe, number, tanks in _stages(data):
        if needed is not None and set(tanks) <= gone:
            used = recipe in needed and number >= needed[recipe]
            (lacking if used else unused).update(tanks)
    kept = unused - lacking
    found = dict(data)
    found["station"] = [
        {**station, "out_of_service": station["name"] in gone - kept}
        if station["name"] in gone
        else station
        for station in data["station"]
    ]
    found["recipe"] = [
        {**recipe, "stage": [_served(stage, gone, kept) for stage in recipe["stage"]]}
        for recipe in data["recipe"]
    ]
    return found


def _stages(data: Mapping[str, Any]) -> Iterator[tuple[str, int, tuple[str, ...]]]:
    for recipe in data["recipe"]:
        for number, stage in enumerate(recipe["stage"], start=1):
            yield recipe["name"], number, _tanks(stage)


def _tanks(stage: Mapping[str, Any]) -> tuple[str, ...]:
    stated = stage["station"]
    return (stated,) if isinstance(stated, str) else tuple(stated)


def _served(stage: Mapping[str, Any], gone: Set[str], kept: Set[str]) -> dict[str, Any]:
    """A stage without the tanks that are kept for others, where it has one in service."""
    tanks = _tanks(stage)
    left = [name for name in tanks if name not in kept]
    served = any(name not in gone for name in tanks)
    return {**stage, "station": left} if served and len(left) < len(tanks) else dict(stage)
