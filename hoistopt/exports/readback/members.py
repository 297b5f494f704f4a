"""From the named values of a file to a table."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ..table import SequencerStep, SequencerTable
from ..units import UNITS

Value = int | bool | None


class Unreadable(ValueError):
    """The file is not what its format promises."""


def step_from(values: Mapping[str, Value]) -> SequencerStep:
    """A step from its values by the names that CSV and JSON give the fields, without units."""
    try:
        return SequencerStep(
            step=_whole(values, "step"),
            pick=_whole(values, "pick_station"),
            place=_whole(values, "place_station"),
            recipe=_whole(values, "recipe"),
            load=_whole(values, "load"),
            stage=_whole(values, "stage"),
            fed_by=_maybe(values, "fed_by_step"),
            boundaries=_whole(values, "boundaries"),
            feeds=_maybe(values, "feeds_step"),
            wait_source_dwell=bool(values["wait_source_dwell"]),
            wait_target_empty=bool(values["wait_target_empty"]),
            start=_whole(values, "planned_start"),
            latest=_whole(values, "latest_start"),
            alarm=_maybe(values, "alarm_limit"),
            least=_whole(values, "least_dwell"),
            most=_maybe(values, "greatest_dwell"),
            drip=_whole(values, "drip"),
        )
    except KeyError as error:
        raise Unreadable(f"a step lacks {error}") from None


def step_from_program(number: int, values: Mapping[str, int | bool]) -> SequencerStep:
    """A step from the members of its structure; no unit ends their names any more."""
    plain: dict[str, Value] = {"step": number}
    for member, name in _MEMBERS.items():
        if member not in values:
            raise Unreadable(f"step {number} lacks {member}")
        plain[name] = values[member]
    for limited, name in (("AlarmLimited", "alarm_limit"), ("DwellLimited", "greatest_dwell")):
        if not values.get(limited):
            plain[name] = None
    for name in ("fed_by_step", "feeds_step"):
        plain[name] = plain[name] or None
    return step_from(plain)


_MEMBERS = {
    "PickStation": "pick_station",
    "PlaceStation": "place_station",
    "Recipe": "recipe",
    "Load": "load",
    "Stage": "stage",
    "FedByStep": "fed_by_step",
    "Boundaries": "boundaries",
    "FeedsStep": "feeds_step",
    "WaitSourceDwell": "wait_source_dwell",
    "WaitTargetEmpty": "wait_target_empty",
    "PlannedStart": "planned_start",
    "LatestStart": "latest_start",
    "AlarmLimit": "alarm_limit",
    "LeastDwell": "least_dwell",
    "GreatestDwell": "greatest_dwell",
    "Drip": "drip",
}


def table_from(
    line: str,
    unit: str,
    cycle: int,
    stations: Mapping[int, str],
    recipes: Mapping[int, str],
    steps: Sequence[SequencerStep],
) -> SequencerTable:
    """A table; recipes are numbered from 1 without a gap."""
    if unit not in UNITS:
        raise Unreadable(f"unknown unit {unit}")
    if sorted(recipes) != list(range(1, len(recipes) + 1)):
        raise Unreadable("recipes are not numbered from 1")
    return SequencerTable(
        line=line,
        unit=UNITS[unit],
        cycle=cycle,
        steps=tuple(steps),
        stations=tuple(sorted(stations.items())),
        recipes=tuple(recipes[number] for number in sorted(recipes)),
    )


def _whole(values: Mapping[str, Value], key: str) -> int:
    value = values[key]
    if value is None:
        raise Unreadable(f"{key} has no value")
    return int(value)


def _maybe(values: Mapping[str, Value], key: str) -> int | None:
    value = values[key]
    return None if value is None else int(value)
