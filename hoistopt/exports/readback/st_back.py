"""Read a sequencer table from structured text: comments, constants, structured values."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ...base.cells import unescaped
from ..table import SequencerTable
from ..units import UNITS
from .members import Unreadable, step_from_program, table_from

_TOKEN = re.compile(
    r"""\(\*(?P<comment>.*?)\*\)          # comments do not nest in the standard
    | (?P<duration>T\#\d+ms)
    | (?P<word>[A-Za-z_]\w*)
    | (?P<number>\d+)
    | (?P<sign>:=|\.\.|[^\s])""",
    re.VERBOSE | re.DOTALL,
)


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
        elif noted := re.fullmatch(r" ((?:station|recipe) \d+|line|unit) = (.*) ", comment):
            notes.setdefault(noted[1], unescaped(noted[2]))
    if "unit" not in notes or notes["unit"] not in UNITS:
        raise Unreadable("the unit is not named")
    unit = UNITS[notes["unit"]]
    rows = list(_rows(words, f"_{unit.key}", unit.milliseconds))
    return table_from(
        notes.get("line", ""),
        unit.key,
        _cycle_time(words, unit.milliseconds),
        _numbered(notes, "station"),
        _numbered(notes, "recipe"),
        [step_from_program(number, row) for number, row in enumerate(rows, start=1)],
    )


def _numbered(notes: dict[str, str], what: str) -> dict[int, str]:
    return {int(key.split()[1]): name for key, name in notes.items() if key.startswith(f"{what} ")}


def _cycle_time(words: list[str], milliseconds: int) -> int:
    for index, word in enumerate(words):
        if re.fullmatch(r"CycleTime(_\w+)?", word) and words[index + 1] == ":":
            return int(value_of(words[index + 4], milliseconds))
    raise Unreadable("there is no cycle time")


def _rows(words: list[str], ending: str, milliseconds: int) -> Iterator[dict[str, int | bool]]:
    """The structured values in the initial value of the array of steps."""
    at = words.index("Steps")
    at = words.index("[", words.index(":=", at))
    while words[at] != "]":
        if words[at + 1] != "(":
            raise Unreadable(f"expected a step, found {words[at + 1]}")
        at += 1
        row: dict[str, int | bool] = {}
        while words[at] != ")":
            name, becomes, value = words[at + 1 : at + 4]
            if becomes != ":=":
                raise Unreadable(f"{name} has no value")
            row[name.removesuffix(ending)] = value_of(value, milliseconds)
            at += 4
        yield row
        at += 1


def value_of(text: str, milliseconds: int) -> int | bool:
    """A literal; durations in units of that many ms.

    Raises
    ------
    Unreadable
        When it is no literal of ours, or a duration of a fraction of a unit.
    """
    if text in ("TRUE", "FALSE"):
        return text == "TRUE"
    duration = re.fullmatch(r"T#(\d+)ms", text)
    if duration:
        units, rest = divmod(int(duration[1]), milliseconds)
        if rest:
            raise Unreadable(f"{text} is no whole number of units")
        return units
    if not text.isdecimal():
        raise Unreadable(f"{text} is no value")
    return int(text)
