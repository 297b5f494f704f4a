"""Parts of PLCopen XML that every kind of project has: headers, types, variables, blocks."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from xml.etree import ElementTree as ET

from ...show.tables.jsonfile import versions
from ..block import Array, Section, Variable
from ..names import for_comment
from .words import noted_line

NAMESPACE = "http://www.plcopen.org/xml/tc6_0201"
XHTML = "http://www.w3.org/1999/xhtml"
LISTS: dict[Section, str] = {
    "input": "inputVars",
    "table": "inOutVars",
    "output": "outputVars",
    "constant": "localVars",
    "local": "localVars",
}


def project_text(
    name: str,
    told: Sequence[str],
    note: str,
    unit: str,
    created: datetime | None,
    fill: Callable[[ET.Element, ET.Element], None],
) -> str:
    """A whole file.

    Parameters
    ----------
    name : str
        Of the project.
    told : sequence of str
        Cautions.
    note : str
        What the problem file notes of its line.
    unit : str
        Of the times of the table it was made from.
    created : datetime or None
        What stands as the time of creation; None: now.
    fill : callable
        Adds data types and blocks to their elements.
    """
    root = ET.Element("project", {"xmlns": NAMESPACE, "xmlns:xhtml": XHTML})
    safe = [re.sub("--+", "-", for_comment(text)) for text in told]
    _headers(root, name, [*safe, *map(for_comment, noted_line(note))], unit, created)
    types = ET.SubElement(root, "types")
    data_types = ET.SubElement(types, "dataTypes")
    fill(data_types, ET.SubElement(types, "pous"))
    instances = ET.SubElement(root, "instances")
    ET.SubElement(instances, "configurations")
    ET.indent(root, "  ")
    cautions = "\n".join(f"<!-- {text} -->" for text in safe)
    text = ET.tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="utf-8"?>\n{cautions}\n{text}\n'


def _headers(
    root: ET.Element, name: str, told: Sequence[str], unit: str, created: datetime | None
) -> None:
    stamp = (created or datetime.now(UTC)).astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    ET.SubElement(
        root,
        "fileHeader",
        {
            "companyName": "hoistopt",
            "productName": "hoistopt",
            "productVersion": versions()["hoistopt"],
            "creationDateTime": stamp,
            "contentDescription": f"Sequencer table, times in {unit}",
        },
    )
    content = ET.SubElement(root, "contentHeader", {"name": name})
    ET.SubElement(content, "Comment").text = " ".join(told)
    # No drawing is in the file, but the schema asks for the scales of one.
    scales = ET.SubElement(content, "coordinateInfo")
    for language in ("fbd", "ld", "sfc"):
        ET.SubElement(ET.SubElement(scales, language), "scaling", {"x": "1", "y": "1"})


def add_documentation(parent: ET.Element, text: str) -> None:
    """A comment on an element."""
    paragraph = ET.SubElement(ET.SubElement(parent, "documentation"), "xhtml:p")
    paragraph.text = text


def add_type(parent: ET.Element, kind: str | Array) -> None:
    """The type of a variable."""
    if isinstance(kind, Array):
        array = ET.SubElement(parent, "array")
        for low, high in kind.bounds:
            ET.SubElement(array, "dimension", {"lower": str(low), "upper": str(high)})
        add_type(ET.SubElement(array, "baseType"), kind.of)
    elif kind in ("BOOL", "INT", "DINT", "TIME"):
        ET.SubElement(parent, kind)
    else:
        ET.SubElement(parent, "derived", {"name": kind})


def add_variable(
    parent: ET.Element, name: str, kind: str | Array, comment: str, initial: str | None = None
) -> ET.Element:
    """A variable, or a member of a structure."""
    variable = ET.SubElement(parent, "variable", {"name": name})
    add_type(ET.SubElement(variable, "type"), kind)
    if initial is not None:
        value = ET.SubElement(variable, "initialValue")
        ET.SubElement(value, "simpleValue", {"value": initial})
    add_documentation(variable, comment)
    return variable


def add_struct(parent: ET.Element, name: str) -> tuple[ET.Element, ET.Element]:
    """A data type that is a structure, and the element of its members."""
    data_type = ET.SubElement(parent, "dataType", {"name": name})
    return data_type, ET.SubElement(ET.SubElement(data_type, "baseType"), "struct")


def add_function_block(parent: ET.Element, name: str) -> tuple[ET.Element, ET.Element]:
    """A function block, and the element of its variables."""
    pou = ET.SubElement(parent, "pou", {"name": name, "pouType": "functionBlock"})
    return pou, ET.SubElement(pou, "interface")


def add_body(pou: ET.Element, statements: str) -> None:
    """The statements of a block."""
    text = ET.SubElement(ET.SubElement(pou, "body"), "ST")
    ET.SubElement(text, "xhtml:p").text = statements


def add_declared(interface: ET.Element, declared: Sequence[Variable], section: Section) -> None:
    """The variables of one section."""
    constant = {"constant": "true"} if section == "constant" else {}
    members = ET.SubElement(interface, LISTS[section], constant)
    for variable in declared:
        if variable.section == section:
            add_variable(members, variable.name, variable.type, variable.comment, variable.initial)
