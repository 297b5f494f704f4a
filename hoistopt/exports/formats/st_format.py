"""Structured text of IEC 61131-3: types, table of steps and function blocks in one file.

Nothing in it is beyond the standard's second edition, which the third contains: no extension
of any maker, no global variables, no pointers. Names of the user's stand in comments only, or
as identifiers made from their letters and digits.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from ..block import Array, Section, Variable, body
from ..members import MEMBERS, member_values
from ..names import for_comment
from .st_types import Dialect
from .table_data import Data, assignments, constant_text
from .words import cautions_of, noted, rules_of

_WIDTH = 96
OPENING: dict[Section, str] = {
    "input": "VAR_INPUT",
    "table": "VAR_IN_OUT",
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
        _table_type(dialect),
        _fill(dialect),
        _block(dialect),
    ]
    return "\n".join(parts)


def block_comment(dialect: Dialect) -> list[str]:
    """Cautions, rules and how to call the block: paragraphs of ASCII."""
    table = dialect.table
    return [
        f"Sequencer of the line: {for_comment(table.line)}",
        *(f"CAUTION. {text}" for text in cautions_of(table)),
        *(for_comment(text) for text in noted(table)),
        "All times are whole ms, in DINT.",
        *rules_of(table).values(),
        *map(for_comment, table.begins),
        f"Keep one variable of type {dialect.name('Table')}, fill it with {dialect.name('Fill')} "
        "or from elsewhere while Reset is TRUE, and hand it to the sequencer. The check sum: "
        "see the documentation of hoistopt.",
        "Call the block once in every scan. Of the inputs by station, only those of stations "
        "that exist count. StartMove asks for one whole move: lift, drip, travel, lower; answer "
        "with MoveDone. While Enable is FALSE a move that has begun is to stand still; it goes "
        "on when StartMove is TRUE again. The block holds no interlock and no watchdog.",
    ]


def step_comment(dialect: Dialect, number: int) -> str:
    """What a step does, in the user's names."""
    table = dialect.table
    step, names = table.rows[number], dict(table.stations)
    recipe = table.recipes[step.recipe - 1]
    return (
        f"step {step.step}: {for_comment(names[step.pick])} to {for_comment(names[step.place])}, "
        f"load {step.load} of {for_comment(recipe)}"
    )


def literals(dialect: Dialect, number: int) -> dict[str, str]:
    """The members of a step as they are written, by name."""
    step, kinds = dialect.table.rows[number], {member.name: member.type for member in MEMBERS}
    values = member_values(step, dialect.table.unit.milliseconds)
    return {
        name: ("TRUE" if value else "FALSE") if kinds[name] == "BOOL" else str(value)
        for name, value in values.items()
    }


def table_members(dialect: Dialect) -> list[tuple[str, str | Array, str]]:
    """Name, type and comment of the members of the table."""
    steps = Array(((1, dialect.sizes.steps),), dialect.name("Step"))
    return [
        ("LastStep", "INT", "steps of the list and of the cycle"),
        ("LastSlot", "INT", "most cycle boundaries a carrier stands through"),
        ("CycleTime_ms", "DINT", "cycle time"),
        ("ListSteps", "INT", "steps of a list run once, which come first; 0: none"),
        ("ListTime_ms", "DINT", "when the cycle begins after the list"),
        ("CheckSum", "DINT", "of all numbers"),
        ("Steps", steps, "in order of planned start, those of the list first"),
    ]


def fill_variables(dialect: Dialect) -> list[Variable]:
    """The variables of the block that fills a table, without the constant that holds it."""
    return [Variable("table", "Table", dialect.name("Table"), "to be filled")]


def fill_body(dialect: Dialect) -> str:
    """The statements of the block that fills a table."""
    return "Table := Data;\n" if dialect.values == "initial" else assignments(data_of(dialect))


def data_of(dialect: Dialect) -> Data:
    """The numbers of the table."""
    rows = [
        (step_comment(dialect, number), list(literals(dialect, number).items()))
        for number in range(len(dialect.table.rows))
    ]
    head = [(name, str(value)) for name, value in dialect.head.items()]
    return Data(head, [("Steps", rows)])


def comment_lines(paragraphs: Iterable[str]) -> str:
    """Paragraphs as lines of comments."""
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
    return f"{comment_lines(block_comment(dialect))}\n{named}"


def _stations(dialect: Dialect) -> str:
    names = dict(dialect.table.stations)
    members = [
        f"    {tag} : INT := {number}; (* {for_comment(names[number])} *)"
        for number, tag in dialect.tags.items()
    ]
    intro = "Numbers of the stations. Declare a constant of this type to use them by name."
    return comment_lines([intro]) + _type(dialect.name("Stations"), members)


def _step_type(dialect: Dialect) -> str:
    members = [f"    {m.name} : {m.type}; (* {m.comment} *)" for m in MEMBERS]
    return comment_lines(["One step."]) + _type(dialect.name("Step"), members)


def _table_type(dialect: Dialect) -> str:
    members = [
        f"    {name} : {type_text(kind)}; (* {comment} *)"
        for name, kind, comment in table_members(dialect)
    ]
    return comment_lines(["The table of a recipe or mix."]) + _type(dialect.name("Table"), members)


def _type(name: str, members: Sequence[str]) -> str:
    inner = "\n".join(members)
    return f"TYPE {name} :\nSTRUCT\n{inner}\nEND_STRUCT;\nEND_TYPE\n"


def _fill(dialect: Dialect) -> str:
    data = ""
    if dialect.values == "initial":
        data = constant_text(dialect.name("Table"), data_of(dialect))
    return (
        comment_lines(["Fills a table with the steps of this schedule."])
        + f"FUNCTION_BLOCK {dialect.name('Fill')}\n"
        + section_text(OPENING["table"], fill_variables(dialect), "table")
        + data
        + fill_body(dialect)
        + "END_FUNCTION_BLOCK\n"
    )


def _block(dialect: Dialect) -> str:
    declared = dialect.variables()
    sections = [section_text(opening, declared, key) for key, opening in OPENING.items()]
    return (
        f"FUNCTION_BLOCK {dialect.name('Sequencer')}\n"
        + "".join(sections)
        + body()
        + "END_FUNCTION_BLOCK\n"
    )


def section_text(opening: str, declared: Sequence[Variable], section: Section) -> str:
    """The declarations of one section."""
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
