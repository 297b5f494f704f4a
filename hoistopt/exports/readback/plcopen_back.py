"""Read a sequencer table from PLCopen XML."""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.etree import ElementTree as ET

from ..table import SequencerTable
from .members import Unreadable, table_from_program
from .st_back import Assigned, assigned, value_of

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
    filling = root.find("p:types/p:pous/p:pou", _NS)
    if stations is None or filling is None:
        raise Unreadable("there are no stations, or there is no table")
    notes = _notes(stations.findtext("p:documentation/x:p", "", _NS))
    data = filling.find("p:interface/p:localVars[@constant='true']/p:variable", _NS)
    head: dict[str, int | bool] = {}
    rows: dict[int, dict[str, int | bool]] = {}
    for number, name, value in _statements(filling) if data is None else _initial(data):
        part = head if number is None else rows.setdefault(number, {})
        if name in part:
            raise Unreadable(f"{name} has two values")
        part[name] = value
    recipes = {int(key.split()[1]): name for key, name in notes.items() if key.startswith("recipe")}
    return table_from_program(notes, dict(_stations(stations)), recipes, head, rows)


def _notes(text: str) -> dict[str, str]:
    pairs = (line.partition(" =") for line in text.splitlines() if " =" in line)
    return {key: value.strip() for key, _, value in pairs}


def _stations(element: ET.Element) -> Iterator[tuple[int, str]]:
    for variable in element.iterfind("p:baseType/p:struct/p:variable", _NS):
        number = _simple(variable.find("p:initialValue", _NS))
        yield int(number), variable.findtext("p:documentation/x:p", "", _NS)


def _statements(filling: ET.Element) -> Assigned:
    text = filling.findtext("p:body/p:ST/x:p", "", _NS)
    plain = re.sub(r"\(\*.*?\*\)", " ", text)
    return assigned(re.findall(r"\w+|:=|\S", plain))


def _initial(data: ET.Element) -> Assigned:
    for member in data.iterfind("p:initialValue/p:structValue/p:value", _NS):
        name = member.get("member", "")
        if name != "Steps":
            yield None, name, value_of(_simple(member))
            continue
        for number, row in enumerate(
            member.iterfind("p:arrayValue/p:value/p:structValue", _NS), start=1
        ):
            for part in row.iterfind("p:value", _NS):
                yield number, part.get("member", ""), value_of(_simple(part))


def _simple(element: ET.Element | None) -> str:
    value = None if element is None else element.find("p:simpleValue", _NS)
    if value is None:
        raise Unreadable("a value is missing")
    return value.get("value", "")
