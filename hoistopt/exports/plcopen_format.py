"""PLCopen XML (IEC 61131-10; elements of the TC6 XML schema, version 2.01).

The same types, table and function block as in structured text, so that an engineering
tool can import them. The namespace and the elements are those of the schema that PLCopen
published as tc6_xml_v201.xsd.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from xml.etree import ElementTree as ET

from ..show.tables.jsonfile import versions
from .block import Array, Section, Variable, variables
from .block_body import body
from .names import for_comment
from .st_format import block_comment, step_comment
from .st_types import Dialect, Field
from .words import CAUTIONS, noted

NAMESPACE = "http://www.plcopen.org/xml/tc6_0201"
XHTML = "http://www.w3.org/1999/xhtml"
_LISTS: dict[Section, str] = {"input": "inputVars", "output": "outputVars", "local": "localVars"}


def plcopen_xml(dialect: Dialect, created: datetime | None = None) -> str:
    """The whole file.

    Parameters
    ----------
    dialect : Dialect
    created : datetime, optional
        What stands as the time of creation; by default now.
    """
    root = ET.Element("project", {"xmlns": NAMESPACE, "xmlns:xhtml": XHTML})
    _headers(root, dialect, created or datetime.now(UTC))
    types = ET.SubElement(root, "types")
    data_types = ET.SubElement(types, "dataTypes")
    _stations(data_types, dialect)
    _step_type(data_types, dialect)
    _block(ET.SubElement(types, "pous"), dialect)
    instances = ET.SubElement(root, "instances")
    ET.SubElement(instances, "configurations")
    ET.indent(root, "  ")
    cautions = "\n".join(f"<!-- CAUTION. {text} -->" for text in CAUTIONS)
    text = ET.tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="utf-8"?>\n{cautions}\n{text}\n'


def _headers(root: ET.Element, dialect: Dialect, created: datetime) -> None:
    stamp = created.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    ET.SubElement(
        root,
        "fileHeader",
        {
            "companyName": "hoistopt",
            "productName": "hoistopt",
            "productVersion": versions()["hoistopt"],
            "creationDateTime": stamp,
            "contentDescription": f"Sequencer table, times in {dialect.table.unit.label}",
        },
    )
    content = ET.SubElement(root, "contentHeader", {"name": dialect.base})
    comment = ET.SubElement(content, "Comment")
    told = [f"CAUTION. {text}" for text in CAUTIONS]
    comment.text = " ".join([*told, *map(for_comment, noted(dialect.table))])
    # No drawing is in the file, but the schema asks for the scales of one.
    scales = ET.SubElement(content, "coordinateInfo")
    for language in ("fbd", "ld", "sfc"):
        ET.SubElement(ET.SubElement(scales, language), "scaling", {"x": "1", "y": "1"})


def _documentation(parent: ET.Element, text: str) -> None:
    paragraph = ET.SubElement(ET.SubElement(parent, "documentation"), "xhtml:p")
    paragraph.text = text


def _type(parent: ET.Element, kind: str | Array) -> None:
    if isinstance(kind, Array):
        array = ET.SubElement(parent, "array")
        for low, high in kind.bounds:
            ET.SubElement(array, "dimension", {"lower": str(low), "upper": str(high)})
        _type(ET.SubElement(array, "baseType"), kind.of)
    elif kind in ("BOOL", "INT", "DINT", "TIME"):
        ET.SubElement(parent, kind)
    else:
        ET.SubElement(parent, "derived", {"name": kind})


def _variable(
    parent: ET.Element, name: str, kind: str | Array, comment: str, initial: str | None = None
) -> ET.Element:
    variable = ET.SubElement(parent, "variable", {"name": name})
    _type(ET.SubElement(variable, "type"), kind)
    if initial is not None:
        value = ET.SubElement(variable, "initialValue")
        ET.SubElement(value, "simpleValue", {"value": initial})
    _documentation(variable, comment)
    return variable


def _struct(parent: ET.Element, name: str) -> tuple[ET.Element, ET.Element]:
    data_type = ET.SubElement(parent, "dataType", {"name": name})
    return data_type, ET.SubElement(ET.SubElement(data_type, "baseType"), "struct")


def _stations(parent: ET.Element, dialect: Dialect) -> None:
    data_type, struct = _struct(parent, dialect.name("Stations"))
    names = dict(dialect.table.stations)
    for number, tag in dialect.tags.items():
        # Escaped, as a tool that imports it may make a comment of it.
        _variable(struct, tag, "INT", for_comment(names[number]), str(number))
    recipes = enumerate(dialect.table.recipes, start=1)
    listed = [f"recipe {number} = {for_comment(name)}" for number, name in recipes]
    line = f"line = {for_comment(dialect.table.line)}"
    unit = f"unit = {dialect.table.unit.key}"
    _documentation(data_type, "\n".join(["Numbers of the stations.", line, unit, *listed]))


def _step_type(parent: ET.Element, dialect: Dialect) -> None:
    data_type, struct = _struct(parent, dialect.name("Step"))
    for field in dialect.fields():
        _variable(struct, field.name, field.type, field.comment)
    unit = "" if dialect.literal else f" Times are whole numbers of {dialect.table.unit.label}."
    _documentation(data_type, f"One step.{unit}")


def _block(parent: ET.Element, dialect: Dialect) -> None:
    pou = ET.SubElement(
        parent, "pou", {"name": dialect.name("Sequencer"), "pouType": "functionBlock"}
    )
    interface = ET.SubElement(pou, "interface")
    declared = variables(dialect)
    for section, tag in _LISTS.items():
        if section == "local":
            _constants(interface, dialect, declared)
        members = ET.SubElement(interface, tag)
        _declared(members, declared, section)
    _documentation(interface, "\n".join(block_comment(dialect)))
    text = ET.SubElement(ET.SubElement(pou, "body"), "ST")
    ET.SubElement(text, "xhtml:p").text = body(dialect)


def _constants(interface: ET.Element, dialect: Dialect, declared: Sequence[Variable]) -> None:
    members = ET.SubElement(interface, "localVars", {"constant": "true"})
    count = len(dialect.table.steps)
    kind = Array(((1, count),), dialect.name("Step"))
    steps = ET.SubElement(members, "variable", {"name": "Steps"})
    _type(ET.SubElement(steps, "type"), kind)
    array = ET.SubElement(ET.SubElement(steps, "initialValue"), "arrayValue")
    fields = dialect.fields()
    for number in range(count):
        _step(array, fields, number)
    listed = "; ".join(step_comment(dialect, number) for number in range(count))
    _documentation(steps, listed)
    _declared(members, declared, "constant")


def _step(array: ET.Element, fields: Sequence[Field], number: int) -> None:
    struct = ET.SubElement(ET.SubElement(array, "value"), "structValue")
    for field in fields:
        member = ET.SubElement(struct, "value", {"member": field.name})
        ET.SubElement(member, "simpleValue", {"value": field.values[number]})


def _declared(parent: ET.Element, declared: Sequence[Variable], section: Section) -> None:
    for variable in declared:
        if variable.section == section:
            _variable(parent, variable.name, variable.type, variable.comment, variable.initial)
