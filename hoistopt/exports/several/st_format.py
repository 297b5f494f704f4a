"""Structured text of several hoists: types, a table and a block a hoist, in one file."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from ..st_format import OPENING, comment_lines, section_text, type_text
from .program import Block, Data, DataType, Program

_WIDTH = 96


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
    data = "" if block.data is None else _data(program, block.data)
    return (
        f"{comment_lines([block.comment])}FUNCTION_BLOCK {block.name}\n{sections}{data}"
        f"{block.text}END_FUNCTION_BLOCK\n"
    )


def _data(program: Program, data: Data) -> str:
    """The table as the initial value of a constant."""
    head = "".join(f"        {name} := {value},\n" for name, value in data.head)
    lists = []
    for name, rows in data.lists:
        written = ",\n".join(_rows(rows))
        lists.append(f"        {name} := [\n{written}]")
    return (
        f"VAR CONSTANT\n    Data : {program.name('Table')} := (\n{head}"
        + ",\n".join(lists)
        + ");\nEND_VAR\n"
    )


def _rows(rows: list[tuple[str, list[tuple[str, str]]]]) -> Iterator[str]:
    for comment, row in rows:
        # Joined by spaces that no line is broken at.
        members = ", ".join(f"{name}\u00a0:=\u00a0{value}" for name, value in row)
        text = textwrap.fill(
            f"({members})",
            _WIDTH,
            initial_indent="        ",
            subsequent_indent="         ",
            break_long_words=False,
        )
        yield f"        (* {comment} *)\n" + text.replace("\u00a0", " ")
