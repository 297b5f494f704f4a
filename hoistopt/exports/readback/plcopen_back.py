"""Read a sequencer table from PLCopen XML."""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.etree import ElementTree as ET

from ...base.cells import unescaped
from ..table import SequencerTable
from ..units import UNITS
from .members import Unreadable, step_from_program, table_from
from .st_back import value_of

_NS = {"p": "http://www.plcopen.org/xml/tc6_0201", "x": "http://www.w3.org/1999/xhtml"}


def table_from_plcopen(text: str) -> SequencerTable:
    """The table an XML file holds.

    Raises
    ------
    Unreadable
        When it is no such file.
    """
    root = ET.fromstring(text.encode())
    stations = root.find("p:types/p:dataTypes/p:dataType", _NS)
    if stations is None:
        raise Unreadable("there are no stations")
    notes = _notes(stations.findtext("p:documentation/x:p", "", _NS))
    unit = UNITS[notes["unit"]]
    constants = {
        variable.get("name", ""): variable
        for variable in root.iterfind(
            "p:types/p:pous/p:pou/p:interface/p:localVars[@constant='true']/p:variable", _NS
        )
    }
    (cycle,) = (v for name, v in constants.items() if re.fullmatch(r"CycleTime(_\w+)?", name))
    rows = _rows(constants["Steps"], f"_{unit.key}", unit.milliseconds)
    return table_from(
        notes["line"],
        unit.key,
        int(value_of(_simple(cycle.find("p:initialValue", _NS)), unit.milliseconds)),
        dict(_stations(stations)),
        {int(key.split()[1]): name for key, name in notes.items() if key.startswith("recipe ")},
        [step_from_program(number, row) for number, row in enumerate(rows, start=1)],
    )


def _notes(text: str) -> dict[str, str]:
    pairs = (line.split(" = ", 1) for line in text.splitlines() if " = " in line)
    return {key: unescaped(value) for key, value in pairs}


def _stations(element: ET.Element) -> Iterator[tuple[int, str]]:
    for variable in element.iterfind("p:baseType/p:struct/p:variable", _NS):
        number = _simple(variable.find("p:initialValue", _NS))
        yield int(number), unescaped(variable.findtext("p:documentation/x:p", "", _NS))


def _rows(steps: ET.Element, ending: str, milliseconds: int) -> Iterator[dict[str, int | bool]]:
    for row in steps.iterfind("p:initialValue/p:arrayValue/p:value/p:structValue", _NS):
        yield {
            member.get("member", "").removesuffix(ending): value_of(_simple(member), milliseconds)
            for member in row.iterfind("p:value", _NS)
        }


def _simple(element: ET.Element | None) -> str:
    value = None if element is None else element.find("p:simpleValue", _NS)
    if value is None:
        raise Unreadable("a value is missing")
    return value.get("value", "")
