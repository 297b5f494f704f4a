"""The sequencer table as CSV: comment lines, a header that names the units, a row a step."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from ..base.cells import guarded, note_lines
from .checksum import check_sum
from .table import SequencerStep, SequencerTable
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
        _row(["line", guarded(table.line)]),
        _row([f"cycle_time [{table.unit.label}]", table.cycle if table.steps else None]),
        *_of_the_list(table),
        _row(["check_sum [number]", check_sum(table)]),
        "",
        _row(["station [number]", "name"]),
        *(_row([number, guarded(name)]) for number, name in table.stations),
        "",
        _row(["recipe [number]", "name"]),
        *(_row([number, guarded(name)]) for number, name in enumerate(table.recipes, start=1)),
        "",
        _row([_header(field, table) for field in FIELDS] + ["pick_name", "place_name"]),
    ]
    names = dict(table.stations)
    for step in table.rows:
        cells = [_value(step, field) for field in FIELDS]
        lines.append(_row([*cells, guarded(names[step.pick]), guarded(names[step.place])]))
    return note_lines(notes) + "\n".join(lines) + "\n"


def _of_the_list(table: SequencerTable) -> list[str]:
    """How many steps are run once, and when the cycle begins after them."""
    if not table.once:
        return []
    begins = table.joins if table.steps else None
    return [
        _row(["list_steps [number]", len(table.once)]),
        _row([f"cycle_begins [{table.unit.label}]", begins]),
    ]


def _header(field: str, table: SequencerTable) -> str:
    unit = table.unit.label if field in TIMES else _COUNTED.get(field, "number")
    return f"{field} [{unit}]"


def _value(step: SequencerStep, field: str) -> object:
    return getattr(step, _ATTRIBUTES.get(field, field))


def _row(cells: Sequence[object]) -> str:
    stream = io.StringIO()
    csv.writer(stream, lineterminator="").writerow([_cell(cell) for cell in cells])
    return stream.getvalue()


def _cell(cell: object) -> str:
    if cell is None:
        return ""
    return str(int(cell)) if isinstance(cell, bool) else str(cell)
