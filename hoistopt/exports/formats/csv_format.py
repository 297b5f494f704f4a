"""The sequencer table as CSV: comment lines, a header that names the units, a row a step."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from ...base.cells import guarded, note_lines
from ..checksum import check_sum
from ..table import SequencerStep, SequencerTable
from .words import FIELDS, TIMES, cautions_of, legend, noted

_ATTRIBUTES = {
    "pick_station": "pick",
    "place_station": "place",
    "fed_by_step": "fed_by",
    "feeds_step": "feeds",
    "planned_start": "start",
    "latest_start": "latest",
    "alarm_limit": "alarm",
    "min_dwell": "least",
    "max_dwell": "most",
    "place_rest": "rest",
}
_COUNTED = {
    "boundaries": "cycles",
    "lifted_in": "cycles",
    "wait_source_dwell": "1 = yes",
    "wait_target_empty": "1 = yes",
}


def csv_text(table: SequencerTable) -> str:
    """The file: lines that begin with ``#``, the stations and recipes, then the steps.

    An empty cell means none. No name begins a formula, whatever separates the cells.
    """
    cautions = [f"CAUTION. {text}" for text in cautions_of(table)]
    notes = [*cautions, *noted(table), *legend(table), *table.begins]
    lines = [
        row_text(["line", guarded(table.line)]),
        row_text([f"cycle_time [{table.unit.label}]", table.cycle if table.steps else None]),
        *_of_the_list(table),
        row_text(["check_sum [number]", check_sum(table)]),
        "",
        row_text(["station [number]", "name"]),
        *(row_text([number, guarded(name)]) for number, name in table.stations),
        "",
        row_text(["recipe [number]", "name"]),
        *(row_text([number, guarded(name)]) for number, name in enumerate(table.recipes, start=1)),
        "",
        row_text([_header(field, table) for field in FIELDS] + ["pick_name", "place_name"]),
    ]
    names = dict(table.stations)
    for step in table.rows:
        cells = [_value(step, field) for field in FIELDS]
        lines.append(row_text([*cells, guarded(names[step.pick]), guarded(names[step.place])]))
    return note_lines(notes) + "\n".join(lines) + "\n"


def _of_the_list(table: SequencerTable) -> list[str]:
    """How many steps are run once, and when the cycle begins after them."""
    if not table.once:
        return []
    begins = table.joins if table.steps else None
    return [
        row_text(["list_steps [number]", len(table.once)]),
        row_text([f"cycle_begins [{table.unit.label}]", begins]),
    ]


def _header(field: str, table: SequencerTable) -> str:
    unit = table.unit.label if field in TIMES else _COUNTED.get(field, "number")
    return f"{field} [{unit}]"


def _value(step: SequencerStep, field: str) -> object:
    return getattr(step, _ATTRIBUTES.get(field, field))


def row_text(cells: Sequence[object]) -> str:
    """A row of a step table; yes and no are 1 and 0."""
    stream = io.StringIO()
    csv.writer(stream, lineterminator="").writerow([_cell(cell) for cell in cells])
    return stream.getvalue()


def _cell(cell: object) -> str:
    if cell is None:
        return ""
    return str(int(cell)) if isinstance(cell, bool) else str(cell)
