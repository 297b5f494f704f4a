"""Read the tables of several hoists from structured text and from PLCopen XML."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from xml.etree import ElementTree as ET

from ..several.motion_table import HoistMotion, HoistTable, Release, SeveralTable, Stage
from ..units import UNITS
from .members import Unreadable, in_units
from .st_back import value_of

_NS = {"p": "http://www.plcopen.org/xml/tc6_0201", "x": "http://www.w3.org/1999/xhtml"}
_STAGES: dict[int, Stage] = {1: "lift", 2: "leave", 3: "pass"}
_NOTE = re.compile(r"((?:station|place|recipe|hoist|idle) \d+|line|unit) =(?: (.*))?")
Cell = tuple[str, int, str, int | bool]
"""List or nothing, row, member, value."""


def several_from_st(text: str) -> tuple[SeveralTable, dict[int, int]]:
    """The tables a file of structured text holds, and the check sum of each hoist by number.

    Raises
    ------
    Unreadable
        When it is no such file.
    """
    comments = re.findall(r"\(\*(.*?)\*\)", text, re.DOTALL)
    plain = re.sub(r"\(\*.*?\*\)", " ", text, flags=re.DOTALL)
    blocks = re.findall(r"FUNCTION_BLOCK \w+_Fill\d+(.*?)END_FUNCTION_BLOCK", plain, re.DOTALL)
    return _table(_notes(comment.strip() for comment in comments), map(_of_block, blocks))


def several_from_plcopen(text: str) -> tuple[SeveralTable, dict[int, int]]:
    """The tables a PLCopen XML file holds, and the check sum of each hoist by number.

    Raises
    ------
    Unreadable
        When it is no such file.
    """
    root = ET.fromstring(text.encode())
    named = root.find("p:types/p:dataTypes/p:dataType", _NS)
    if named is None:
        raise Unreadable("there are no stations")
    notes = _notes(named.findtext("p:documentation/x:p", "", _NS).splitlines())
    fills = [
        pou
        for pou in root.iterfind("p:types/p:pous/p:pou", _NS)
        if re.fullmatch(r"\w+_Fill\d+", pou.get("name", ""))
    ]
    return _table(notes, map(_of_pou, fills))


def _notes(lines: Iterable[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for line in lines:
        if noted := _NOTE.fullmatch(line.strip()):
            found.setdefault(noted[1], noted[2] or "")
    return found


def _of_block(block: str) -> Iterator[Cell]:
    words = re.findall(r"\w+|:=|\S", block)
    if "Data" not in words:
        yield from _statements(words)
        return
    at = words.index("(", words.index("Data")) + 1
    while words[at] != ")":
        name = words[at]
        if words[at + 2] != "[":
            yield "", 0, name, value_of(words[at + 2])
            at += 3
        else:
            at, number = at + 3, 0
            while words[at] != "]":
                number += 1
                at += 1
                while words[at] != ")":
                    yield name, number, words[at], value_of(words[at + 2])
                    at += 3
                    at += words[at] == ","
                at += 1
                at += words[at] == ","
            at += 1
        at += words[at] == ","


def _statements(words: list[str]) -> Iterator[Cell]:
    text = " ".join(words)
    pattern = r"Table \. (?:(\w+) \[ (\d+) \] \. )?(\w+) := (\w+) ;"
    for found in re.finditer(pattern, text):
        yield found[1] or "", int(found[2] or 0), found[3], value_of(found[4])


def _of_pou(pou: ET.Element) -> Iterator[Cell]:
    data = pou.find("p:interface/p:localVars[@constant='true']/p:variable", _NS)
    if data is None:
        plain = re.sub(r"\(\*.*?\*\)", " ", pou.findtext("p:body/p:ST/x:p", "", _NS))
        yield from _statements(re.findall(r"\w+|:=|\S", plain))
        return
    for member in data.iterfind("p:initialValue/p:structValue/p:value", _NS):
        name = member.get("member", "")
        rows = member.findall("p:arrayValue/p:value/p:structValue", _NS)
        if not rows:
            yield "", 0, name, value_of(_simple(member))
        for number, row in enumerate(rows, start=1):
            for part in row.iterfind("p:value", _NS):
                yield name, number, part.get("member", ""), value_of(_simple(part))


def _simple(element: ET.Element) -> str:
    value = element.find("p:simpleValue", _NS)
    if value is None:
        raise Unreadable("a value is missing")
    return value.get("value", "")


def _table(
    notes: Mapping[str, str], blocks: Iterable[Iterator[Cell]]
) -> tuple[SeveralTable, dict[int, int]]:
    if notes.get("unit") not in UNITS:
        raise Unreadable("the unit is not named")
    unit = UNITS[notes["unit"]]
    hoists, sums, cycles = [], {}, set()
    for cells in blocks:
        parts: dict[tuple[str, int], dict[str, int | bool]] = {}
        for name, number, member, value in cells:
            part = parts.setdefault((name, number), {})
            if member in part:
                raise Unreadable(f"{member} has two values")
            part[member] = value
        head = parts["", 0]
        waits: dict[int, list[Release]] = {}
        for number in range(1, head["LastRelease"] + 1):
            row = parts["Releases", number]
            waits.setdefault(row["Motion"], []).append(_release(row, unit.milliseconds))
        motions = tuple(
            _motion(number, parts["Motions", number], tuple(waits.get(number, ())),
                    unit.milliseconds)
            for number in range(1, head["LastMotion"] + 1)
        )  # fmt: skip
        if len(parts) != 1 + head["LastMotion"] + head["LastRelease"]:
            raise Unreadable("not as many rows as the table says")
        hoist = head["Hoist"]
        name, once = notes.get(f"hoist {hoist}", ""), not head["CycleTime_ms"]
        hoists.append(HoistTable(hoist, name, () if once else motions, motions if once else ()))
        sums[hoist] = head["CheckSum"]
        cycles.add(head["CycleTime_ms"])
    (cycle,) = cycles
    places = _numbered(notes, "place")
    table = SeveralTable(
        line=notes.get("line", ""),
        unit=unit,
        cycle=in_units(cycle, unit.milliseconds),
        hoists=tuple(hoists),
        idle=tuple(_numbered(notes, "idle").values()),
        stations=tuple(_numbered(notes, "station").items()),
        waiting=tuple((number, Fraction(text.split()[1])) for number, text in places.items()),
        recipes=tuple(_numbered(notes, "recipe").values()),
    )
    return table, sums


def _numbered(notes: Mapping[str, str], what: str) -> dict[int, str]:
    found = {int(key.split()[1]): name for key, name in notes.items() if key.startswith(f"{what} ")}
    return dict(sorted(found.items()))


def _release(row: Mapping[str, int | bool], per: int) -> Release:
    return Release(
        before=_STAGES[row["Before"]],
        hoist=row["Hoist"],
        motion=row["HoistMotion"],
        cycles=row["CyclesBefore"],
        left=in_units(row["LeftFor_ms"], per) if row["Follow"] else None,
        stop=row["StopAt"] if row["Before"] == 3 else None,
    )


def _motion(
    number: int, row: Mapping[str, int | bool], waits: tuple[Release, ...], per: int
) -> HoistMotion:
    def time(name: str) -> int:
        return in_units(row[name], per)

    return HoistMotion(
        motion=number,
        step=row["Step"],
        start=row["StartPlace"],
        place=row["EndPlace"],
        recipe=row["Recipe"],
        load=row["Load"],
        stage=row["Stage"],
        fed_by=row["FedByStep"] or None,
        boundaries=row["Boundaries"],
        feeds=row["FeedsStep"] or None,
        wait_source_dwell=bool(row["WaitSourceDwell"]),
        wait_target_empty=bool(row["WaitTargetEmpty"]),
        planned=time("PlannedStart_ms"),
        leaves=time("PlannedLeave_ms"),
        latest=time("LatestStart_ms"),
        alarm=time("AlarmLimit_ms") if row["AlarmLimited"] else None,
        clock_limit=time("ClockLimit_ms"),
        lasting_limit=time("LastingLimit_ms") if row["LastingLimited"] else None,
        least=time("MinDwell_ms"),
        most=time("MaxDwell_ms") if row["DwellLimited"] else None,
        drip=time("Drip_ms"),
        lasts=time("Lasts_ms"),
        busy=time("Busy_ms"),
        releases=waits,
    )
