"""What the words of a table mean that people keep in their own language: headers and names.

A controller's log has the same kind of file, so one file may serve both.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..base.errors import InputError, naming_file
from ..base.separated import separator
from ..problem import Problem
from ..problem.files.load import read_toml

TABLE_COLUMNS = (
    "start", "from", "to", "recipe", "load", "stage", "boundaries", "cycle_time", "hoist",
    "travel_to", "order", "count", "release", "due", "weight",
)  # fmt: skip
"""Columns of the tables of moves and of orders."""
LOG_TABLES = ("events", "time", "file")
"""Tables of a mapping that only logs have a use for."""
LOG_COLUMNS = ("time", "event", "station", "carrier")
"""Columns that only logs have."""
_UNIT = re.compile(r"(.+?)(\s*[\[(]\s*\w+\s*[\])])")
_STATIONS = ("from", "to")


@dataclass(frozen=True)
class Words:
    """What words of a table stand for, each in lower case.

    Attributes
    ----------
    columns, stations, recipes : dict of str to str
        Our column, the problem's station or recipe for each.
    """

    columns: Mapping[str, str]
    stations: Mapping[str, str]
    recipes: Mapping[str, str]


def read_words(path: str | Path, problem: Problem) -> Words:
    """Read a TOML file of words.

    Parameters
    ----------
    path : str or Path
        With the tables ``columns`` (our word = theirs), ``stations`` and ``recipes`` (their
        word = the problem's name); those that only logs use may stand there too.
    problem : Problem

    Raises
    ------
    InputError
        When the file cannot be used, or names what the line does not have.
    """
    data = read_toml(Path(path), 'It says what words mean, such as [columns] start = "Beginn".')
    with naming_file(str(path)):
        known = ("columns", "stations", "recipes", *LOG_TABLES)
        for name, table in data.items():
            if name not in known:
                raise InputError(f"one of the tables {', '.join(known)}", value=name)
            if not isinstance(table, dict):
                raise InputError("a table", field=name, value=table)
        return Words(
            _columns(data.get("columns", {})),
            _names(data, "stations", set(problem.station_by_name)),
            _names(data, "recipes", set(problem.recipe_by_name)),
        )


def _columns(table: Mapping[str, Any]) -> dict[str, str]:
    found: dict[str, str] = {}
    for key, word in table.items():
        if key in LOG_COLUMNS:
            continue
        if key not in TABLE_COLUMNS:
            raise InputError(
                f"one of {', '.join(TABLE_COLUMNS)}; in a log {', '.join(LOG_COLUMNS)}",
                field="columns",
                value=key,
            )
        if not isinstance(word, str) or not word.strip():
            raise InputError("the name of a column", field=f"columns, {key}", value=word)
        plain = _plain(word)
        if plain in found:
            raise InputError(
                "each word for one column", field=f"columns, {key}", value=word,
                way_out=f"It stands for {found[plain]} already.",
            )  # fmt: skip
        found[plain] = key
    return found


def _names(data: Mapping[str, Any], table: str, known: Collection[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for word, name in data.get(table, {}).items():
        if name is False:  # what a log leaves out, no table of moves has
            continue
        if name not in known:
            raise InputError(f"a {table[:-1]} of the problem", field=f"{table}, {word}", value=name)
        found[_plain(word)] = name
    return found


def _plain(text: str) -> str:
    return " ".join(text.split()).lower()


def reworded(text: str, words: Words) -> str:
    """A table with commas, semicolons or tabs in our own words, row by row as it was.

    What is no table, or says nothing that the words know, comes back as it is.
    """
    lines = io.StringIO(text, newline=None).readlines()
    at = next((number for number, line in enumerate(lines) if not _above(line)), len(lines))
    if at == len(lines):
        return text
    known = {*words.columns, *TABLE_COLUMNS}
    delimiter = separator(lines[at].rstrip("\n"), lambda cell: _split(cell)[0] in known)
    written = io.StringIO()
    writer = csv.writer(written, delimiter=delimiter, lineterminator="\n")
    names: list[str] | None = None
    try:
        for cells in csv.reader(lines[at:], delimiter=delimiter):
            if names is None and cells:
                pairs = [_split(cell) for cell in cells]
                names = [words.columns.get(word, word) for word, _ in pairs]
                writer.writerow(
                    words.columns[word] + unit if word in words.columns else cell
                    for cell, (word, unit) in zip(cells, pairs, strict=True)
                )
                continue
            writer.writerow(
                _cell(cell, name, words)
                for cell, name in zip(cells, [*(names or []), *[""] * len(cells)], strict=False)
            )
    except csv.Error:
        return text
    return "".join(lines[:at]) + written.getvalue()


def _above(line: str) -> bool:
    """Whether a line is empty or a remark above the header."""
    bare = line.strip(" \t\n,;\"'")
    return not bare or bare.startswith("#")


def _split(cell: str) -> tuple[str, str]:
    """A header in lower case, and the unit in brackets behind it."""
    found = _UNIT.fullmatch(cell.strip())
    return (_plain(found[1]), found[2]) if found else (_plain(cell), "")


def _cell(cell: str, column: str, words: Words) -> str:
    if column in _STATIONS:
        return words.stations.get(_plain(cell), cell)
    return words.recipes.get(_plain(cell), cell) if column == "recipe" else cell
