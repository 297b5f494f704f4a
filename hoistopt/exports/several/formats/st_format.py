"""Structured text of several hoists: types, a table and a block a hoist, in one file."""

from __future__ import annotations

from ...formats.st_format import OPENING, comment_lines, section_text, type_text
from ...formats.table_data import constant_text
from .program import Block, DataType, Program


def several_st(program: Program) -> str:
    """The whole file: ASCII, lines ended by LF."""
    legend = "".join(f"(* {line} *)\n" for line in program.legend())
    parts = [f"{comment_lines(program.paragraphs())}\n{legend}"]
    parts += [_type(kind) for kind in program.types()]
    parts += [_block(program, block) for block in program.blocks()]
    return "\n".join(parts)


def _type(kind: DataType) -> str:
    lines = []
    for name, of, comment, initial in kind.members:
        value = "" if initial is None else f" := {initial}"
        told = f" (* {comment} *)" if comment else ""
        lines.append(f"    {name} : {type_text(of)}{value};{told}\n")
    head = comment_lines([kind.comment])
    return f"{head}TYPE {kind.name} :\nSTRUCT\n{''.join(lines)}END_STRUCT;\nEND_TYPE\n"


def _block(program: Program, block: Block) -> str:
    used = {variable.section for variable in block.variables}
    sections = "".join(
        section_text(opening, block.variables, key) for key, opening in OPENING.items()
        if key in used
    )  # fmt: skip
    data = ""
    if block.data is not None:
        data = constant_text(program.name("Table"), block.data)
    return (
        f"{comment_lines([block.comment])}FUNCTION_BLOCK {block.name}\n{sections}{data}"
        f"{block.text}END_FUNCTION_BLOCK\n"
    )
