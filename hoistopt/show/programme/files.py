"""A programme as CSV and as plain data, for other programs and for `hoistopt verify`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from ...checker import ProgrammeReplay
from ...checker.neighbours import neighbours_once
from ...schedule.csv_moves import PROGRAMME
from ...schedule.csv_rows import TRAVEL
from ...schedule.files import travels_to_data
from ...schedule.programme import programme_to_data
from ..schedule.data import neighbour_row
from ..schedule.rows import hoists_table
from ..tables.data_table import DataTable
from ..tables.jsonfile import json_number, json_value, versions
from .at_first import at_first_data, at_first_note, at_first_sheet
from .cautions import cautions
from .joined import repeats_data, repeats_notes
from .lost import overstay_data
from .rows import load_rows, move_rows, tick_of

_PLAIN = ["step", "start", "from", "to", "recipe", "load", "stage"]
_TIMED = ["end", "loaded_move", "drip", "dwell_low", "dwell_high", "min_dwell", "max_dwell"]


def programme_moves(seen: ProgrammeReplay, orders: Mapping[int, str] | None = None) -> DataTable:
    """One row per move; times in the problem's unit, which the names of added columns repeat.

    Parameters
    ----------
    seen : ProgrammeReplay
        It is clean.
    orders : mapping of int to str, optional
        Name of the order of each load that has one: a column more.

    The columns dwell_low and dwell_high tell what the load had stood in the station it
    leaves: two figures, which differ where the state it began with is in doubt. Where there are
    several hoists each row names its hoist, and their travels to give way are rows with a
    position to travel to.
    """
    unit, several = seen.problem.unit, len(seen.problem.hoists) > 1
    rows: list[list[object]] = []
    for row in move_rows(seen):
        plain = [row.step, row.start, row.source, row.target, row.recipe, row.load, row.stage]
        timed = [row.end, row.loaded, row.drip, row.dwell_least, row.dwell_most]
        ordered = [orders.get(row.load)] if orders else []
        made = [row.hoist, None] if several else []
        rows.append([*plain, *timed, row.least, row.most, row.label, *ordered, *made])
    for travel in travels_to_data(seen.programme):
        blank: list[object] = [None] * (len(_PLAIN) + len(_TIMED) - 1 + bool(orders))
        rows.append([None, travel["start"], *blank[1:], None, travel["hoist"], travel["to"]])
    header = [*_PLAIN, *(f"{name}_{unit}" for name in _TIMED), "stage_name"]
    header += ["order"] if orders else []
    header += ["hoist", TRAVEL] if several else []
    times = f"All times are in {unit}, start too, and count from the beginning of the programme."
    marks = [PROGRAMME, *repeats_notes(seen)]
    notes = [times, *at_first_note(seen)]
    return DataTable("Programme", header, rows, notes, marks, {"start": unit})


def load_times(seen: ProgrammeReplay, orders: Mapping[int, str] | None = None) -> DataTable:
    """One row per load: when it enters and is out, and the dwell nearest to its maximum."""
    unit = seen.problem.unit
    lost = {one.load for one in seen.overstays}
    rows = [
        [
            *(row.load, row.recipe, row.entered, row.out, row.margin, row.tightest),
            *((orders or {}).get(row.load), "yes" if row.load in lost else "no"),
        ]
        for row in load_rows(seen)
    ]
    header = ["load", "recipe", f"entered_{unit}", f"out_{unit}", f"least_margin_{unit}"]
    return DataTable("Loads", [*header, "tightest_stage", "order", "lost"], rows)


def hoists_beside(seen: ProgrammeReplay) -> list[DataTable]:
    """Where several hoists are at first, and what they leave one another; none of one."""
    beside = hoists_table(seen.problem, neighbours_once(seen), tick_of(seen))
    return [*at_first_sheet(seen), *beside]


def programme_data(seen: ProgrammeReplay, status: str = "verified") -> dict[str, Any]:
    """The programme as plain data; its key ``finish`` tells it from a cycle."""
    rows, several = {row.step: row for row in move_rows(seen)}, len(seen.problem.hoists) > 1
    added = {key: key for key in ("end", "label", "loaded", "drip")}
    added |= {"dwell_low": "dwell_least", "dwell_high": "dwell_most"}
    moves = []
    for move in programme_to_data(seen.programme):
        row = rows[move["step"]]
        move |= {"recipe": row.recipe, "load": row.load, "stage": row.stage}
        moves.append(
            {**move, **{key: json_value(getattr(row, name)) for key, name in added.items()}}
        )
    return {
        "problem": seen.problem.name,
        "status": status,
        "finish": json_number(seen.finish),
        "unit": seen.problem.unit,
        "repeats": repeats_data(seen),
        "moves": moves,
        **(_of_several(seen) if several else {}),
        "loads": [
            {key: json_value(value) for key, value in asdict(row).items()}
            for row in load_rows(seen)
        ],
        "left": sorted(seen.left),
        "violations": [],
        "lost": sorted({one.load for one in seen.overstays}),
        "overstays": overstay_data(seen),
        "cautions": cautions(seen),
        "versions": versions(),
    }


def _of_several(seen: ProgrammeReplay) -> dict[str, Any]:
    """Where hoists are at first, how they give way, and what neighbours leave one another."""
    tick = tick_of(seen)
    rows = [neighbour_row(found, tick) for found in neighbours_once(seen)]
    return {
        "hoists_at_first": at_first_data(seen),
        "travels": travels_to_data(seen.programme),
        "neighbours": [{key: json_value(value) for key, value in row.items()} for row in rows],
    }
