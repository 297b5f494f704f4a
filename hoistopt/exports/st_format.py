"""Structured text of IEC 61131-3: types, table of steps and function block in one file.

Nothing in it is beyond the standard's second edition: no extension of any maker, no
global variables, no pointers. Names of the user's stand in comments only, or as
identifiers made from their letters and digits.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from .block import Array, Section, Variable, variables
from .block_body import body
from .names import for_comment
from .st_types import Dialect
from .table import SequencerTable
from .words import CAUTIONS, legend, noted

_WIDTH = 96
_OPENING: dict[Section, str] = {
    "input": "VAR_INPUT",
    "output": "VAR_OUTPUT",
    "constant": "VAR CONSTANT",
    "local": "VAR",
}


def structured_text(dialect: Dialect) -> str:
    """The whole file: ASCII, lines ended by LF."""
    parts = [
        _header(dialect),
        _stations(dialect),
        _step_type(dialect),
        _block(dialect),
    ]
    return "\n".join(parts)


def block_comment(dialect: Dialect) -> list[str]:
    """Cautions, legend and how to call the block: paragraphs of ASCII."""
    table = dialect.table
    return [
        f"Sequencer of the line: {for_comment(table.line)}",
        *(f"CAUTION. {text}" for text in CAUTIONS),
        *(for_comment(text) for text in noted(table)),
        *([*legend(table)[:1]] if not dialect.literal else []),
        *legend(table)[1:],
        "Call the block once in every scan. Of the inputs by station, only those of stations "
        "that exist count. StartMove asks for one whole move: lift, drip, travel, lower; answer "
        "with MoveDone. The block holds no interlock and no watchdog.",
    ]


def step_comment(dialect: Dialect, number: int) -> str:
    """What a step does, in the user's names."""
    table = dialect.table
    step, names = table.steps[number], dict(table.stations)
    recipe = table.recipes[step.recipe - 1]
    return (
        f"step {step.step}: {for_comment(names[step.pick])} to {for_comment(names[step.place])}, "
        f"load {step.load} of {for_comment(recipe)}"
    )


def _comment(paragraphs: Iterable[str]) -> str:
    lines = [
        line
        for text in paragraphs
        for line in textwrap.wrap(text, _WIDTH, break_long_words=False, break_on_hyphens=False)
    ]
    return "\n".join(f"(* {line} *)" for line in lines) + "\n"


def _header(dialect: Dialect) -> str:
    table = dialect.table
    legend_lines = [
        f"line = {for_comment(table.line)}",
        f"unit = {table.unit.key}",
        *(f"station {number} = {for_comment(name)}" for number, name in table.stations),
        *(
            f"recipe {number} = {for_comment(name)}"
            for number, name in enumerate(table.recipes, start=1)
        ),
    ]
    # One line each and never wrapped: they are read back.
    named = "".join(f"(* {line} *)\n" for line in legend_lines)
    return f"{_comment(block_comment(dialect))}\n{named}"


def _stations(dialect: Dialect) -> str:
    names = dict(dialect.table.stations)
    members = [
        f"    {tag} : INT := {number}; (* {for_comment(names[number])} *)"
        for number, tag in dialect.tags.items()
    ]
    intro = "Numbers of the stations. Declare a constant of this type to use them by name."
    return _comment([intro]) + _type(dialect.name("Stations"), members)


def _step_type(dialect: Dialect) -> str:
    members = [f"    {f.name} : {f.type}; (* {f.comment} *)" for f in dialect.fields()]
    return _comment(["One step."]) + _type(dialect.name("Step"), members)


def _type(name: str, members: Sequence[str]) -> str:
    inner = "\n".join(members)
    return f"TYPE {name} :\nSTRUCT\n{inner}\nEND_STRUCT;\nEND_TYPE\n"


def _block(dialect: Dialect) -> str:
    declared = variables(dialect)
    sections = [_section(opening, declared, key) for key, opening in _OPENING.items()]
    sections.insert(2, _steps(dialect))
    return (
        f"FUNCTION_BLOCK {dialect.name('Sequencer')}\n"
        + "".join(sections)
        + body(dialect)
        + "END_FUNCTION_BLOCK\n"
    )


def _section(opening: str, declared: Sequence[Variable], section: Section) -> str:
    lines = [_declaration(variable) for variable in declared if variable.section == section]
    return "\n".join([opening, *lines, "END_VAR"]) + "\n"


def _declaration(variable: Variable) -> str:
    initial = "" if variable.initial is None else f" := {variable.initial}"
    return f"    {variable.name} : {type_text(variable.type)}{initial}; (* {variable.comment} *)"


def type_text(kind: str | Array) -> str:
    """A type as it is written."""
    if isinstance(kind, str):
        return kind
    bounds = ", ".join(f"{low}..{high}" for low, high in kind.bounds)
    return f"ARRAY [{bounds}] OF {kind.of}"


def _steps(dialect: Dialect) -> str:
    table: SequencerTable = dialect.table
    fields = dialect.fields()
    rows = []
    for number in range(len(table.steps)):
        # Joined by spaces that no line is broken at.
        members = [f"{f.name}\u00a0:=\u00a0{f.values[number]}" for f in fields]
        end = "," if number + 1 < len(table.steps) else ""
        text = textwrap.fill(
            f"({', '.join(members)}){end}",
            _WIDTH,
            initial_indent="        ",
            subsequent_indent="         ",
            break_long_words=False,
        )
        text = text.replace("\u00a0", " ")
        rows.append(f"        (* {step_comment(dialect, number)} *)\n{text}")
    return (
        "VAR CONSTANT\n"
        f"    Steps : ARRAY [1..{len(table.steps)}] OF {dialect.name('Step')} := [\n"
        + "\n".join(rows)
        + "];\nEND_VAR\n"
    )
