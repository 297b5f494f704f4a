"""Write a problem as a workbook, for people to fill in and `load_problem` to read back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ...base.text import STANDING
from ...base.workbook.sheet import Column, Sheet
from ...base.workbook.writing import workbook_bytes
from ..line import MOST_STATIONS
from ..statement import Statement
from .heads import head_of, unit_of_field
from .layout import CYCLE, LINE, MIX, TIMES, Field, Layout, Table, layout
from .texts import cell_of

SPARE = 60
"""Empty rows below each table for which lists of choices hold as well."""
_PROSE = 100
_VALUE = 2
"""The column of the values on the sheet of the line, from 0."""
_STATIONS = ("station", "from", "to", "over", "unreachable", "load", "unload")
_MOVES = ("start", "from", "to", "recipe", "load", "stage", "hoist", "cycle_time")
_MOVE_NOTES = {
    "start": "When the hoist begins to lift, counted from the beginning of the cycle.",
    "load": "Number of the load within the cycle; may be left empty.",
    "stage": "Number of the stage the load leaves, 0 for the load station; may be left empty.",
    "cycle_time": "Of the cycle, in the first row or in all.",
}
READ_ME = (
    "A problem file for hoistopt as a workbook: `hoistopt solve` and every other command takes "
    "it where it takes a TOML file. Other sheets may stand beside these; they are not read.",
    "Line: single values of the line. Stations, Hoist, Crossings: a row each. Recipes: a row for "
    "each stage, in order; the name of the recipe may stand in its first row only. Times: "
    "measured times between stations, which replace worked-out ones. Cycle: the moves of a "
    "cycle, where you have one to verify, draw or compare.",
    "The comment on each header says what belongs below it. An empty cell means that nothing is "
    "stated. Where several may stand in one cell, put semicolons between them, or one a line.",
    "A time is a number in the unit of the line, which the header repeats, or a duration: text "
    "such as 25 min, 0:01:30 or 1 h 20 min, or a cell that the spreadsheet shows with seconds. "
    "1:30 typed into a cell is an hour and a half for the spreadsheet and is refused.",
    "Formulas are not worked out: paste what they come to as values. A table ends at the first "
    "empty cell of its header; what stands to the right of that is yours.",
)


def problem_workbook(problem: Statement, notes: Sequence[str] = ()) -> bytes:
    """The file of a workbook that holds all that a problem states.

    Parameters
    ----------
    problem : Problem
    notes : sequence of str
        What the reader is told first, such as that figures are invented.

    Raises
    ------
    InputError
        When the library that writes workbooks is missing.
    """
    told = [[text] for text in (*notes, STANDING, *READ_ME)]
    first = Sheet("Read me", [Column("Read this first", width=_PROSE)], told)
    return workbook_bytes([first, *problem_sheets(problem)], problem.name)


def problem_sheets(problem: Statement) -> list[Sheet]:
    """The sheets that hold a problem, and an empty one for the moves of a cycle."""
    data = problem.to_data()
    hoists = data.get("hoist")
    if isinstance(hoists, Mapping):
        data["hoist"] = [hoists]
    units = (problem.unit, problem.length_unit)
    found = layout(type(problem))
    return [
        _line_sheet(data, units, found),
        *(_table_sheet(table, data.get(table.key, ()), units, found) for table in found.tables),
        _times_sheet(data.get("times", {}), units, found),
        _cycle_sheet(problem.unit, found),
    ]


def _line_sheet(data: Mapping[str, Any], units: tuple[str, str], found: Layout) -> Sheet:
    rows: list[list[object]] = []
    for part, field in found.line:
        table = data if part == "line" else data.get(part, {})
        value = cell_of(field, _inside(table, field.keys))
        unit = unit_of_field(field, *units) or None
        rows.append([part, field.head, value, unit, field.note])
    mix = _inside(data, found.mapping.keys) or {}
    others = [one["name"] for one in data["recipe"] if one["name"] not in mix]
    note = "Loads of this recipe in one set; needed where there are several recipes."
    rows += [[MIX, name, mix.get(name), "loads", note] for name in (*mix, *others)]
    columns = [
        Column("part", "The table of a problem file to which the value belongs."),
        Column("key"),
        Column("value", "Only this column is to be filled in.", width=40),
        Column("unit"),
        Column("what it is", width=_PROSE),
    ]
    offers = {number: field.choices for number, (_, field) in enumerate(found.line)}
    offers = {number: choices for number, choices in offers.items() if choices}
    return Sheet(LINE, columns, rows, offers=offers, offered_in=_VALUE)


def _table_sheet(
    table: Table, entries: Sequence[Any], units: tuple[str, str], found: Layout
) -> Sheet:
    rows: list[list[object]] = []
    for entry in entries:
        if not table.inner:
            rows.append([cell_of(field, _inside(entry, field.keys)) for field in table.fields])
            continue
        for number, part in enumerate(entry.get(table.inner, ()) or [{}]):
            own = [cell_of(field, _inside(part, field.keys)) for field in table.parts]
            # What belongs to the whole stands in its first row, its name in each.
            whole = [
                cell_of(field, _inside(entry, field.keys)) if not number or not place else None
                for place, field in enumerate(table.fields)
            ]
            rows.append([whole[0], *own, *whole[1:]])
    columns = [_column(field, units, found) for field in table.columns]
    return Sheet(table.sheet, columns, rows, spare=SPARE)


def _column(field: Field, units: tuple[str, str], found: Layout) -> Column:
    note = field.note
    if field.many:
        note += " Several: semicolons between them, or one a line."
    if field.needed:
        note = f"Needed. {note}"
    choices: Sequence[str] | str = field.choices
    strict = not field.kinds - {"text"}
    if "flag" in field.kinds:
        choices = ("yes", "no")
    elif field.keys[-1] in _STATIONS and "text" in field.kinds:
        # A list of several is typed, a name is taken from the list.
        choices, strict = _stations(found), not field.many and "number" not in field.kinds
    return Column(head_of(field, *units), note, choices, strict)


def _stations(found: Layout) -> str:
    sheet = next(table for table in found.tables if table.key == "station")
    return f"{sheet.sheet}!$A$2:$A${MOST_STATIONS + 1}"


def _times_sheet(times: Mapping[str, Any], units: tuple[str, str], found: Layout) -> Sheet:
    rows = [
        [key, *(cell_of(field, _inside(entry, field.keys)) for field in found.entry)]
        for key in found.times
        for entry in times.get(key, ())
    ]
    note = "loaded: from the start of lifting to the end of lowering, drip not included; empty: "
    kind = Column("table", f"{note}travel without a carrier.", found.times)
    return Sheet(TIMES, [kind, *(_column(f, units, found) for f in found.entry)], rows, spare=SPARE)


def _cycle_sheet(unit: str, found: Layout) -> Sheet:
    columns = []
    for name in _MOVES:
        timed = name in ("start", "cycle_time")
        head = f"{name} [{unit}]" if timed else name
        choices = _stations(found) if name in ("from", "to") else ()
        columns.append(Column(head, _MOVE_NOTES.get(name, ""), choices))
    return Sheet(CYCLE, columns, (), spare=SPARE)


def _inside(data: object, keys: Sequence[str]) -> Any:
    """What stands under a path of keys; None where there is nothing."""
    for key in keys:
        if not isinstance(data, Mapping):
            return None
        data = data.get(key)
    return data
