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
from .block import Array, Section, Variable, body
from .members import MEMBERS
from .names import for_comment
from .st_format import (
    block_comment,
    fill_body,
    fill_variables,
    literals,
    step_comment,
    table_members,
)
from .st_types import Dialect
from .words import cautions_of, noted

NAMESPACE = "http://www.plcopen.org/xml/tc6_0201"
XHTML = "http://www.w3.org/1999/xhtml"
_LISTS: dict[Section, str] = {
    "input": "inputVars",
    "table": "inOutVars",
    "output": "outputVars",
    "constant": "localVars",
    "local": "localVars",
}


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
    _table_type(data_types, dialect)
    pous = ET.SubElement(types, "pous")
    _fill(pous, dialect)
    _block(pous, dialect)
    instances = ET.SubElement(root, "instances")
    ET.SubElement(instances, "configurations")
    ET.indent(root, "  ")
    cautions = "\n".join(f"<!-- CAUTION. {text} -->" for text in cautions_of(dialect.table))
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
    told = [f"CAUTION. {text}" for text in cautions_of(dialect.table)]
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
    for member in MEMBERS:
        _variable(struct, member.name, member.type, member.comment)
    _documentation(data_type, "One step. Times are whole ms.")


def _table_type(parent: ET.Element, dialect: Dialect) -> None:
    data_type, struct = _struct(parent, dialect.name("Table"))
    for name, kind, comment in table_members(dialect):
        _variable(struct, name, kind, comment)
    _documentation(data_type, "The table of a recipe or mix.")


def _function_block(parent: ET.Element, name: str) -> tuple[ET.Element, ET.Element]:
    pou = ET.SubElement(parent, "pou", {"name": name, "pouType": "functionBlock"})
    return pou, ET.SubElement(pou, "interface")


def _body(pou: ET.Element, statements: str) -> None:
    text = ET.SubElement(ET.SubElement(pou, "body"), "ST")
    ET.SubElement(text, "xhtml:p").text = statements


def _fill(parent: ET.Element, dialect: Dialect) -> None:
    pou, interface = _function_block(parent, dialect.name("Fill"))
    _declared(interface, fill_variables(dialect), "table")
    if dialect.values == "initial":
        _data(interface, dialect)
    _documentation(interface, "Fills a table with the steps of this schedule.")
    _body(pou, fill_body(dialect))


def _block(parent: ET.Element, dialect: Dialect) -> None:
    pou, interface = _function_block(parent, dialect.name("Sequencer"))
    declared = dialect.variables()
    for section in _LISTS:
        _declared(interface, declared, section)
    _documentation(interface, "\n".join(block_comment(dialect)))
    _body(pou, body())


def _data(interface: ET.Element, dialect: Dialect) -> None:
    """The table as the initial value of a constant."""
    members = ET.SubElement(interface, "localVars", {"constant": "true"})
    data = ET.SubElement(members, "variable", {"name": "Data"})
    _type(ET.SubElement(data, "type"), dialect.name("Table"))
    struct = ET.SubElement(ET.SubElement(data, "initialValue"), "structValue")
    for name, value in dialect.head.items():
        member = ET.SubElement(struct, "value", {"member": name})
        ET.SubElement(member, "simpleValue", {"value": str(value)})
    count = len(dialect.table.rows)
    array = ET.SubElement(ET.SubElement(struct, "value", {"member": "Steps"}), "arrayValue")
    for number in range(count):
        row = ET.SubElement(ET.SubElement(array, "value"), "structValue")
        for name, text in literals(dialect, number).items():
            member = ET.SubElement(row, "value", {"member": name})
            ET.SubElement(member, "simpleValue", {"value": text})
    listed = "; ".join(step_comment(dialect, number) for number in range(count))
    _documentation(data, listed)


def _declared(interface: ET.Element, declared: Sequence[Variable], section: Section) -> None:
    constant = {"constant": "true"} if section == "constant" else {}
    members = ET.SubElement(interface, _LISTS[section], constant)
    for variable in declared:
        if variable.section == section:
            _variable(members, variable.name, variable.type, variable.comment, variable.initial)
