"""Read the tables of several hoists from CSV and JSON."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping
from fractions import Fraction

from ...base.cells import unguarded
from ..several.motion_table import HoistMotion, HoistTable, Release, SeveralTable, Stage
from ..units import UNITS
from .members import Unreadable, Value

_UNITS = {"ms": "ms", "0.1 s": "ds", "s": "s", "min": "min"}
STAGES: dict[str, Stage] = {"lift": "lift", "leave": "leave", "pass": "pass"}


def motion_from(values: Mapping[str, Value], releases: tuple[Release, ...]) -> HoistMotion:
    """A motion from its values by the names that CSV and JSON give the fields, without units."""

    def whole(name: str) -> int:
        return int(values[name] or 0)

    def maybe(name: str) -> int | None:
        value = values[name]
        return None if value is None else int(value)

    try:
        return HoistMotion(
            motion=whole("motion"),
            step=whole("step"),
            start=whole("start_place"),
            place=whole("end_place"),
            recipe=whole("recipe"),
            load=whole("load"),
            stage=whole("stage"),
            fed_by=maybe("fed_by_step"),
            boundaries=whole("boundaries"),
            feeds=maybe("feeds_step"),
            wait_source_dwell=bool(values["wait_source_dwell"]),
            wait_target_empty=bool(values["wait_target_empty"]),
            planned=whole("planned_start"),
            leaves=whole("planned_leave"),
            latest=whole("latest_start"),
            alarm=maybe("alarm_limit"),
            clock_limit=whole("clock_limit"),
            lasting_limit=maybe("lasting_limit"),
            least=whole("min_dwell"),
            most=maybe("max_dwell"),
            drip=whole("drip"),
            lasts=whole("lasts"),
            busy=whole("busy"),
            releases=releases,
            lifted_in=int(values.get("lifted_in") or 0),
        )
    except KeyError as error:
        raise Unreadable(f"a motion lacks {error}") from None


def several_from_csv(text: str) -> tuple[SeveralTable, dict[int, int]]:
    """The tables a CSV file holds, and the check sum it states for each hoist by number.

    Raises
    ------
    Unreadable
        When it is no such file.
    """
    head: dict[str, list[str]] = {}
    stations: dict[int, str] = {}
    waiting: dict[int, Fraction] = {}
    recipes: dict[int, str] = {}
    hoists: list[tuple[int, str, list[dict[str, Value]], dict[int, list[Release]]]] = []
    sums: dict[int, int] = {}
    listed: dict[int, int] = {}
    unit, section, titles = "", "", list[str]()
    for row in csv.reader(io.StringIO(text)):
        if not row or row[0].startswith("#"):
            continue
        name, in_brackets = _parts(row[0])
        if name in ("line", "cycle_time", "cycle_begins", "hoists_that_make_no_motion"):
            head[name] = row[1:]
            unit = _UNITS[in_brackets] if name == "cycle_time" else unit
            if name == "cycle_begins":
                _in_unit(row[0], unit)
        elif name in ("place", "recipe"):
            section = name
        elif name == "hoist":
            hoists.append((int(row[1]), unguarded(row[2]), [], {}))
        elif name == "list_motions":
            listed[hoists[-1][0]] = int(row[1])
        elif name == "check_sum":
            sums[hoists[-1][0]] = int(row[1])
        elif name == "motion":
            section, titles = name, [_in_unit(title, unit) for title in row]
        elif name == "release":
            if row[1] == "motion":
                _in_unit(row[6], unit)
                continue
            waits = hoists[-1][3].setdefault(int(row[1]), [])
            waits.append(_release(row[2], *(int(c) if c else None for c in row[3:])))
        elif section == "place" and row[2]:
            waiting[int(row[0])] = Fraction(row[2])
        elif section == "place":
            stations[int(row[0])] = unguarded(row[1])
        elif section == "recipe":
            recipes[int(row[0])] = unguarded(row[1])
        else:
            cells = (int(cell) if cell else None for cell in row)
            hoists[-1][2].append(dict(zip(titles, cells, strict=True)))
    table = SeveralTable(
        line=unguarded(head["line"][0]),
        unit=UNITS[unit],
        cycle=int(head["cycle_time"][0] or 0),
        joins=int(head.get("cycle_begins", [""])[0] or 0),
        hoists=tuple(
            _hoist(
                number,
                name,
                listed.get(number, 0),
                tuple(motion_from(m, tuple(waits.get(int(m["motion"] or 0), ()))) for m in motions),
            )
            for number, name, motions, waits in hoists
        ),
        idle=tuple(unguarded(name) for name in head["hoists_that_make_no_motion"]),
        stations=tuple(stations.items()),
        waiting=tuple(waiting.items()),
        recipes=tuple(recipes[number] for number in sorted(recipes)),
    )
    return table, sums


def _hoist(number: int, name: str, listed: int, rows: tuple[HoistMotion, ...]) -> HoistTable:
    """The table of a hoist, whose first rows are those of a list."""
    if not 0 <= listed <= len(rows):
        raise Unreadable(f"hoist {number} has no {listed} motions of a list")
    return HoistTable(number, name, rows[listed:], rows[:listed])


def _release(before: str, *numbers: int | None) -> Release:
    hoist, motion, cycles, left, stop = numbers
    if before not in STAGES or hoist is None or motion is None or cycles is None:
        raise Unreadable("a release is not whole")
    return Release(STAGES[before], hoist, motion, cycles, left, stop)


def _parts(title: str) -> tuple[str, str]:
    name, _, in_brackets = title.partition(" [")
    return name, in_brackets.removesuffix("]")


def _in_unit(title: str, unit: str) -> str:
    """A heading without its unit, which must be the table's."""
    name, in_brackets = _parts(title)
    if in_brackets and _UNITS[in_brackets] != unit:
        raise Unreadable(f"column {title} is in another unit")
    return name


def several_from_json(text: str) -> tuple[SeveralTable, dict[int, int]]:
    """The tables a JSON file holds, and the check sum it states for each hoist by number.

    Raises
    ------
    Unreadable
        When it is no such file.
    """
    data = json.loads(text)
    if not isinstance(data, dict) or data.get("format") != "hoist sequencer tables":
        raise Unreadable("not the tables of several hoists")
    (unit,) = data["units"]
    ending = f"_{unit}"
    hoists = []
    for hoist in data["hoists"]:
        motions = []
        for motion in hoist["motions"]:
            waits = tuple(
                _release(
                    one["before"], one["other_hoist"], one["other_motion"], one["cycles_before"],
                    one[f"left_for_{unit}"], one["stop_place"],
                )
                for one in motion["releases"]
            )  # fmt: skip
            values = {key.removesuffix(ending): value for key, value in motion.items()}
            motions.append(motion_from(values, waits))
        listed = hoist.get("list_motions", 0)
        hoists.append(_hoist(hoist["number"], hoist["name"], listed, tuple(motions)))
    table = SeveralTable(
        line=data["line"],
        unit=UNITS[unit],
        cycle=data[f"cycle_time_{unit}"] or 0,
        joins=data.get(f"cycle_begins_{unit}") or 0,
        hoists=tuple(hoists),
        idle=tuple(data["hoists_that_make_no_motion"]),
        stations=tuple((entry["number"], entry["name"]) for entry in data["stations"]),
        waiting=tuple(
            (entry["number"], Fraction(entry["position"])) for entry in data["other_places"]
        ),
        recipes=tuple(
            entry["name"] for entry in sorted(data["recipes"], key=lambda one: one["number"])
        ),
    )
    return table, {hoist["number"]: hoist["check_sum"] for hoist in data["hoists"]}
