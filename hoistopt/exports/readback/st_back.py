"""Read a sequencer table from structured text: comments, and the values of the table."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ..table import SequencerTable
from .members import Unreadable, table_from_program

_TOKEN = re.compile(
    r"""\(\*(?P<comment>.*?)\*\)          # comments do not nest in the standard
    | (?P<word>[A-Za-z_]\w*)
    | (?P<number>\d+)
    | (?P<sign>:=|\.\.|[^\s])""",
    re.VERBOSE | re.DOTALL,
)
_HEAD = ("LastStep", "LastSlot", "CycleTime_ms", "ListSteps", "ListTime_ms", "CheckSum")


def table_from_st(text: str) -> SequencerTable:
    """The table a file of structured text holds.

    Raises
    ------
    Unreadable
        When it is no such file.
    """
    notes: dict[str, str] = {}
    words: list[str] = []
    for found in _TOKEN.finditer(text):
        comment = found["comment"]
        if comment is None:
            words.append(found[0])
        elif noted := re.fullmatch(r" ((?:station|recipe) \d+|line|unit) =(?: (.*))? ", comment):
            notes.setdefault(noted[1], noted[2] or "")
    words = _filling(words)
    values = assigned(words) if words[0] == "Table" and words[1] == "." else _initial(words)
    head: dict[str, int | bool] = {}
    rows: dict[int, dict[str, int | bool]] = {}
    for number, name, value in values:
        part = head if number is None else rows.setdefault(number, {})
        if name in part:
            raise Unreadable(f"{name} has two values")
        part[name] = value
    return table_from_program(
        notes, _numbered(notes, "station"), _numbered(notes, "recipe"), head, rows
    )


def _numbered(notes: dict[str, str], what: str) -> dict[int, str]:
    return {int(key.split()[1]): name for key, name in notes.items() if key.startswith(f"{what} ")}


def _filling(words: list[str]) -> list[str]:
    """What the block that fills a table says, after the declaration of the table."""
    at = words.index("FUNCTION_BLOCK")
    end = words.index("END_FUNCTION_BLOCK", at)
    at = words.index("END_VAR", words.index("VAR_IN_OUT", at)) + 1
    return words[at:end]


Assigned = Iterator[tuple[int | None, str, int | bool]]


def assigned(words: list[str]) -> Assigned:
    """Step number, or None, member and value of every assignment to a member of the table.

    Raises
    ------
    Unreadable
        When a statement is none.
    """
    at = 0
    while at < len(words):
        if words[at : at + 4] == ["Table", ".", "Steps", "["]:
            number, close, dot, name, becomes, value, end = words[at + 4 : at + 11]
            if (close, dot, becomes, end) != ("]", ".", ":=", ";"):
                raise Unreadable(f"{name} is not assigned to")
            yield int(number), name, value_of(value)
            at += 11
        else:
            table, dot, name, becomes, value, end = words[at : at + 6]
            if (table, dot, becomes, end) != ("Table", ".", ":=", ";"):
                raise Unreadable(f"{name} is not assigned to")
            yield None, name, value_of(value)
            at += 6


def _initial(words: list[str]) -> Assigned:
    """Yield what the initial value of the constant `Data` holds: number of row, name, value."""
    at = words.index("(", words.index(":=", words.index("Data"))) + 1
    while words[at] != "Steps":
        name, becomes, value, _ = words[at : at + 4]
        if becomes != ":=" or name not in _HEAD:
            raise Unreadable(f"{name} has no value")
        yield None, name, value_of(value)
        at += 4
    at = words.index("[", at)
    number = 0
    while words[at] != "]":
        if words[at + 1] != "(":
            raise Unreadable(f"expected a step, found {words[at + 1]}")
        at += 1
        number += 1
        while words[at] != ")":
            name, becomes, value = words[at + 1 : at + 4]
            if becomes != ":=":
                raise Unreadable(f"{name} has no value")
            yield number, name, value_of(value)
            at += 4
        at += 1


def value_of(text: str) -> int | bool:
    """A literal.

    Raises
    ------
    Unreadable
        When it is none of ours.
    """
    if text in ("TRUE", "FALSE"):
        return text == "TRUE"
    if not text.isdecimal():
        raise Unreadable(f"{text} is no value")
    return int(text)
