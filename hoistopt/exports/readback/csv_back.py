"""Read a sequencer table from CSV."""

from __future__ import annotations

import csv
import io
import re

from ...base.cells import unguarded
from ..table import SequencerTable
from .members import Unreadable, Value, step_from, table_from, with_sum

_UNITS = {"ms": "ms", "0.1 s": "ds", "s": "s", "min": "min"}


def table_from_csv(text: str) -> SequencerTable:
    """The table a CSV file holds.

    Raises
    ------
    Unreadable
        When it is no such file.
    """
    rows = [row for row in csv.reader(io.StringIO(text)) if row and not row[0].startswith("#")]
    line, unit, cycle, stated = "", "", 0, -1
    once, joins = 0, 0
    stations: dict[int, str] = {}
    recipes: dict[int, str] = {}
    steps = []
    header: list[str] = []
    for row in rows:
        name, in_brackets = _parts(row[0])
        if name == "line":
            line = unguarded(row[1])
        elif name == "cycle_time":
            unit, cycle = _UNITS[in_brackets], int(row[1] or 0)
        elif name == "list_steps":
            once = int(row[1])
        elif name == "cycle_begins":
            joins = int(row[1] or 0)
        elif name == "check_sum":
            stated = int(row[1])
        elif name in ("station", "recipe", "step"):
            header = row
        elif header[0].startswith("station"):
            stations[int(row[0])] = unguarded(row[1])
        elif header[0].startswith("recipe"):
            recipes[int(row[0])] = unguarded(row[1])
        else:
            steps.append(step_from(_values(header, row, unit)))
    table = table_from(line, unit, cycle, stations, recipes, steps, once, joins)
    return with_sum(table, stated)


def _values(header: list[str], row: list[str], unit: str) -> dict[str, Value]:
    found: dict[str, Value] = {}
    for title, cell in zip(header, row, strict=True):
        name, in_brackets = _parts(title)
        if in_brackets in _UNITS and _UNITS[in_brackets] != unit:
            raise Unreadable(f"column {title} is in another unit")
        if in_brackets:
            found[name] = int(cell) if cell else None
    return found


def _parts(title: str) -> tuple[str, str]:
    """A heading and what stands in brackets behind it."""
    found = re.fullmatch(r"(\w+)(?: \[(.*)\])?", title)
    return (found[1], found[2] or "") if found else (title, "")
