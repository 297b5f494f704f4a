"""PLCopen XML of several hoists: what the structured text holds, for engineering tools."""

from __future__ import annotations

from datetime import datetime
from xml.etree import ElementTree as ET

from ...block import Section
from ...formats.plcopen_parts import (
    LISTS,
    add_body,
    add_declared,
    add_documentation,
    add_function_block,
    add_struct,
    add_variable,
    project_text,
)
from ...formats.table_data import add_constant
from .program import Block, DataType, Program
from .words import cautions_of


def several_xml(program: Program, created: datetime | None = None) -> str:
    """The whole file.

    Parameters
    ----------
    program : Program
    created : datetime, optional
        What stands as the time of creation; by default now.
    """

    def fill(data_types: ET.Element, pous: ET.Element) -> None:
        for kind in program.types():
            _data_type(data_types, program, kind)
        for block in program.blocks():
            _block(pous, program, block)

    table = program.table
    told = [f"CAUTION. {text}" for text in cautions_of(table)]
    return project_text(program.base, told, table.note, table.unit.label, created, fill)


def _data_type(parent: ET.Element, program: Program, kind: DataType) -> None:
    data_type, struct = add_struct(parent, kind.name)
    for name, of, comment, initial in kind.members:
        add_variable(struct, name, of, comment, initial)
    told = [kind.comment]
    if kind.name == program.name("Stations"):
        told += program.legend()
    add_documentation(data_type, "\n".join(told))


def _block(parent: ET.Element, program: Program, block: Block) -> None:
    pou, interface = add_function_block(parent, block.name)
    sections: list[Section] = list(LISTS)
    used = {variable.section for variable in block.variables}
    for section in sections:
        if section in used:
            add_declared(interface, list(block.variables), section)
    if block.data is not None:
        add_constant(interface, program.name("Table"), block.data)
    told = program.paragraphs() if len(used) > 1 else []
    add_documentation(interface, "\n".join([block.comment, *told]))
    add_body(pou, block.text)
