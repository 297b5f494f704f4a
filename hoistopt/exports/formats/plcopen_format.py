"""PLCopen XML (IEC 61131-10; elements of the TC6 XML schema, version 2.01).

The same types, table and function block as in structured text, so that an engineering
tool can import them. The namespace and the elements are those of the schema that PLCopen
published as tc6_xml_v201.xsd.
"""

from __future__ import annotations

from datetime import datetime
from xml.etree import ElementTree as ET

from ..block import body
from ..members import MEMBERS
from ..names import for_comment
from .plcopen_parts import (
    LISTS,
    add_body,
    add_declared,
    add_documentation,
    add_function_block,
    add_struct,
    add_variable,
    project_text,
)
from .st_format import (
    block_comment,
    data_of,
    fill_body,
    fill_variables,
    table_members,
)
from .st_types import Dialect
from .table_data import add_constant
from .words import cautions_of


def plcopen_xml(dialect: Dialect, created: datetime | None = None) -> str:
    """The whole file.

    Parameters
    ----------
    dialect : Dialect
    created : datetime, optional
        What stands as the time of creation; by default now.
    """

    def fill(data_types: ET.Element, pous: ET.Element) -> None:
        _stations(data_types, dialect)
        _step_type(data_types, dialect)
        _table_type(data_types, dialect)
        _fill(pous, dialect)
        _block(pous, dialect)

    table = dialect.table
    told = [f"CAUTION. {text}" for text in cautions_of(table)]
    return project_text(dialect.base, told, table.note, table.unit.label, created, fill)


def _stations(parent: ET.Element, dialect: Dialect) -> None:
    data_type, struct = add_struct(parent, dialect.name("Stations"))
    names = dict(dialect.table.stations)
    for number, tag in dialect.tags.items():
        # Escaped, as a tool that imports it may make a comment of it.
        add_variable(struct, tag, "INT", for_comment(names[number]), str(number))
    recipes = enumerate(dialect.table.recipes, start=1)
    listed = [f"recipe {number} = {for_comment(name)}" for number, name in recipes]
    line = f"line = {for_comment(dialect.table.line)}"
    unit = f"unit = {dialect.table.unit.key}"
    add_documentation(data_type, "\n".join(["Numbers of the stations.", line, unit, *listed]))


def _step_type(parent: ET.Element, dialect: Dialect) -> None:
    data_type, struct = add_struct(parent, dialect.name("Step"))
    for member in MEMBERS:
        add_variable(struct, member.name, member.type, member.comment)
    add_documentation(data_type, "One step. Times are whole ms.")


def _table_type(parent: ET.Element, dialect: Dialect) -> None:
    data_type, struct = add_struct(parent, dialect.name("Table"))
    for name, kind, comment in table_members(dialect):
        add_variable(struct, name, kind, comment)
    add_documentation(data_type, "The table of a recipe or mix.")


def _fill(parent: ET.Element, dialect: Dialect) -> None:
    pou, interface = add_function_block(parent, dialect.name("Fill"))
    add_declared(interface, fill_variables(dialect), "table")
    if dialect.values == "initial":
        add_constant(interface, dialect.name("Table"), data_of(dialect))
    add_documentation(interface, "Fills a table with the steps of this schedule.")
    add_body(pou, fill_body(dialect))


def _block(parent: ET.Element, dialect: Dialect) -> None:
    pou, interface = add_function_block(parent, dialect.name("Sequencer"))
    declared = dialect.variables()
    for section in LISTS:
        add_declared(interface, declared, section)
    add_documentation(interface, "\n".join(block_comment(dialect)))
    add_body(pou, body())
