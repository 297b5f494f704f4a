"""From the named values of a file to a table."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ..table import SequencerStep, SequencerTable
from ..units import UNITS

Value = int | bool | None


class Unreadable(ValueError):
    """The file is not what its format promises."""


class OtherSum(Unreadable):
    """The numbers of the file make another check sum than it states; else it can be read.

    Attributes
    ----------
    table : SequencerTable or None
        What its numbers say.
    """

    table: SequencerTable | None = None


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
            clock_limit=_whole(values, "clock_limit"),
            lasting_limit=_maybe(values, "lasting_limit"),
            least=_whole(values, "min_dwell"),
            most=_maybe(values, "max_dwell"),
            drip=_whole(values, "drip"),
            move=_whole(values, "move"),
            busy=_whole(values, "busy"),
            approach=_whole(values, "approach"),
            lifted_in=_whole(values, "lifted_in"),
            rest=_whole(values, "place_rest"),
        )
    except KeyError as error:
        raise Unreadable(f"a step lacks {error}") from None


def step_from_program(number: int, values: Mapping[str, int | bool], per: int) -> SequencerStep:
    """A step from the members of its structure in a program, times in ms.

    Parameters
    ----------
    number : int
    values : mapping
        By the names that the program gives the members.
    per : int
        Milliseconds of the table's unit.

    Raises
    ------
    Unreadable
        When a member is missing, or a time is no whole number of units.
    """
    plain: dict[str, Value] = {"step": number}
    for member, name in _MEMBERS.items():
        if member not in values:
            raise Unreadable(f"step {number} lacks {member}")
        value = values[member]
        plain[name] = in_units(value, per) if member.endswith("_ms") else value
    for limited, name in _LIMITED.items():
        if not values.get(limited):
            plain[name] = None
    for name in ("fed_by_step", "feeds_step"):
        plain[name] = plain[name] or None
    return step_from(plain)


def in_units(milliseconds: int, per: int) -> int:
    """A time in whole units of so many ms.

    Raises
    ------
    Unreadable
    """
    units, rest = divmod(milliseconds, per)
    if rest:
        raise Unreadable(f"{milliseconds} ms is no whole number of units")
    return units


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
    "PlannedStart_ms": "planned_start",
    "LatestStart_ms": "latest_start",
    "AlarmLimit_ms": "alarm_limit",
    "ClockLimit_ms": "clock_limit",
    "LastingLimit_ms": "lasting_limit",
    "MinDwell_ms": "min_dwell",
    "MaxDwell_ms": "max_dwell",
    "Drip_ms": "drip",
    "Move_ms": "move",
    "Busy_ms": "busy",
    "Approach_ms": "approach",
    "LiftedIn": "lifted_in",
    "PlaceRest_ms": "place_rest",
}
_LIMITED = {
    "AlarmLimited": "alarm_limit",
    "LastingLimited": "lasting_limit",
    "DwellLimited": "max_dwell",
}


def table_from(
    line: str,
    unit: str,
    cycle: int,
    stations: Mapping[int, str],
    recipes: Mapping[int, str],
    steps: Sequence[SequencerStep],
    once: int = 0,
    joins: int = 0,
) -> SequencerTable:
    """A table; recipes are numbered from 1 without a gap, and the first `once` steps run once."""
    if unit not in UNITS:
        raise Unreadable(f"unknown unit {unit}")
    if sorted(recipes) != list(range(1, len(recipes) + 1)):
        raise Unreadable("recipes are not numbered from 1")
    if not 0 <= once <= len(steps) or not steps:
        raise Unreadable("the list has more steps than there are, or there are none")
    return SequencerTable(
        line=line,
        unit=UNITS[unit],
        cycle=cycle,
        steps=tuple(steps[once:]),
        stations=tuple(sorted(stations.items())),
        recipes=tuple(recipes[number] for number in sorted(recipes)),
        once=tuple(steps[:once]),
        joins=joins,
    )


def with_sum(table: SequencerTable, stated: int) -> SequencerTable:
    """The table, if its numbers make the check sum that the file states.

    Raises
    ------
    Unreadable
        When they make another one.
    """
    per = table.unit.milliseconds
    head = {
        "LastStep": len(table.once) + len(table.steps),
        "LastSlot": table.slots - 1,
        "CycleTime_ms": table.cycle * per,
        "ListSteps": len(table.once),
        "ListTime_ms": table.joins * per,
    }
    rows = {}
    for step in (*table.once, *table.steps):
        values = [
            step.pick, step.place, step.recipe, step.load, step.stage, step.fed_by or 0,
            step.boundaries, step.feeds or 0, step.wait_source_dwell, step.wait_target_empty,
            step.start * per, step.latest * per, step.alarm is not None, (step.alarm or 0) * per,
            step.clock_limit * per, step.lasting_limit is not None,
            (step.lasting_limit or 0) * per, step.least * per, step.most is not None,
            (step.most or 0) * per, step.drip * per, step.move * per,
            step.busy * per, step.approach * per, step.lifted_in, step.rest * per,
        ]  # fmt: skip
        rows[step.step] = {str(place): int(value) for place, value in enumerate(values)}
    return _summed_up(table, stated, (head, rows))


def _summed_up(
    table: SequencerTable,
    stated: int,
    read: tuple[Mapping[str, int], Mapping[int, Mapping[str, int]]],
) -> SequencerTable:
    try:
        summed(stated, read)
    except OtherSum as other:
        other.table = table
        raise
    return table


def _whole(values: Mapping[str, Value], key: str) -> int:
    value = values[key]
    if value is None:
        raise Unreadable(f"{key} has no value")
    return int(value)


def _maybe(values: Mapping[str, Value], key: str) -> int | None:
    value = values[key]
    return None if value is None else int(value)


def table_from_program(
    notes: Mapping[str, str],
    stations: Mapping[int, str],
    recipes: Mapping[int, str],
    head: Mapping[str, int | bool],
    rows: Mapping[int, Mapping[str, int | bool]],
) -> SequencerTable:
    """A table from what a program says, if its check sum is right.

    Parameters
    ----------
    notes : mapping
        ``line`` and ``unit`` as comments have them.
    stations, recipes : mappings
        Names by number, as comments have them.
    head : mapping
        Members of the table but its steps.
    rows : mapping
        Members of each step, by number.

    Raises
    ------
    Unreadable
        When something is missing or contradicts something else.
    """
    if notes.get("unit") not in UNITS:
        raise Unreadable("the unit is not named")
    if sorted(rows) != list(range(1, head["LastStep"] + 1)):
        raise Unreadable("not as many steps as the table says")
    per = UNITS[notes["unit"]].milliseconds
    steps = [step_from_program(number, rows[number], per) for number in sorted(rows)]
    cycle = in_units(head["CycleTime_ms"], per)
    listed = head["ListSteps"], in_units(head["ListTime_ms"], per)
    line, unit = notes.get("line", ""), notes["unit"]
    table = table_from(line, unit, cycle, stations, recipes, steps, *listed)
    if head["LastSlot"] != table.slots - 1:
        raise Unreadable("the most boundaries are not what the steps say")
    return _summed_up(table, head["CheckSum"], (head, rows))


def summed(stated: int, read: tuple[Mapping[str, int], Mapping[int, Mapping[str, int]]]) -> None:
    """Work the check sum out from what was read, apart from how the writer does it.

    Raises
    ------
    Unreadable
        When it is another one.
    """
    head, rows = read
    values = [
        head["LastStep"],
        head["LastSlot"],
        head["CycleTime_ms"],
        head["ListSteps"],
        head["ListTime_ms"],
    ]
    for number in sorted(rows):
        values += [int(value) for value in rows[number].values()]
    parts = [part for value in values for part in (value >> 15, value & 0x7FFF)]
    total = 0
    for power, part in enumerate(reversed(parts)):
        total += part * pow(32_749, power, 65_521)
    if total % 65_521 != stated:
        raise OtherSum(f"the check sum is {stated}, but its numbers make {total % 65_521}")
