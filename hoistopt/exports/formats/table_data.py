"""The numbers of a table in a program, as a constant or as assignments, of one and several hoists.

Some controllers take structured initial values, some none: hence both.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree import ElementTree as ET

from .plcopen_parts import add_documentation, add_type

Row = list[tuple[str, str]]
"""Members and their literals."""

_WIDTH = 96


@dataclass(frozen=True)
class Data:
    """The numbers of one table.

    Attributes
    ----------
    head : list of (str, str)
        Members besides the lists.
    lists : list of (str, list of (str, row))
        Lists with a comment for each row.
    """

    head: Row
    lists: list[tuple[str, list[tuple[str, Row]]]]


def assignments(data: Data) -> str:
    """Statements that fill the variable ``Table``."""
    lines = [f"Table.{name} := {value};" for name, value in data.head]
    for name, rows in data.lists:
        for number, (comment, row) in enumerate(rows, start=1):
            lines.append(f"(* {comment} *)")
            lines += [f"Table.{name}[{number}].{member} := {value};" for member, value in row]
    return "\n".join(lines) + "\n"


def constant_text(kind: str, data: Data) -> str:
    """The declaration of a constant ``Data`` of a type, in structured text."""
    head = "".join(f"        {name} := {value},\n" for name, value in data.head)
    lists = []
    for name, rows in data.lists:
        written = "\n".join(_rows(rows))
        lists.append(f"        {name} := [\n{written}]")
    return f"VAR CONSTANT\n    Data : {kind} := (\n{head}" + ",\n".join(lists) + ");\nEND_VAR\n"


def _rows(rows: list[tuple[str, Row]]) -> Iterator[str]:
    for number, (comment, row) in enumerate(rows, start=1):
        # Joined by spaces that no line is broken at.
        members = ", ".join(f"{name}\u00a0:=\u00a0{value}" for name, value in row)
        text = textwrap.fill(
            f"({members}){',' if number < len(rows) else ''}",
            _WIDTH,
            initial_indent="        ",
            subsequent_indent="         ",
            break_long_words=False,
        )
        yield f"        (* {comment} *)\n" + text.replace("\u00a0", " ")


def add_constant(interface: ET.Element, kind: str, data: Data) -> None:
    """Add the table, as a structured constant, to the interface of a block in PLCopen XML."""
    members = ET.SubElement(interface, "localVars", {"constant": "true"})
    constant = ET.SubElement(members, "variable", {"name": "Data"})
    add_type(ET.SubElement(constant, "type"), kind)
    struct = ET.SubElement(ET.SubElement(constant, "initialValue"), "structValue")
    for name, value in data.head:
        _add_member(struct, name, value)
    for name, rows in data.lists:
        array = ET.SubElement(ET.SubElement(struct, "value", {"member": name}), "arrayValue")
        for _, row in rows:
            element = ET.SubElement(ET.SubElement(array, "value"), "structValue")
            for member, value in row:
                _add_member(element, member, value)
    listed = "; ".join(comment for _, rows in data.lists for comment, _ in rows)
    add_documentation(constant, listed)


def _add_member(struct: ET.Element, name: str, value: str) -> None:
    member = ET.SubElement(struct, "value", {"member": name})
    ET.SubElement(member, "simpleValue", {"value": value})
