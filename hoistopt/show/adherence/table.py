"""How a log keeps to a plan, as tables for a terminal and as data."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from rich.table import Table
from rich.text import Text

from ...base.numbers.decimals import as_float
from ...plant.adherence.answer import Adherence, Drift
from ...plant.adherence.deviations import Deviation
from ..log.shown import moment
from ..tables.data_table import DataTable
from ..tables.terminal import add_figures, add_names, measured, new_table
from .words import what_of

UNFED = "nothing had been brought"
MOST = 25
"""Rows of a table for a terminal; the workbook has all."""


def step_table(found: Adherence) -> Table:
    """A row per planned move, the one that costs most first."""
    unit = found.problem.unit
    table = new_table("What each step costs, stops left out")
    add_figures(table, "Step")
    add_names(table, "From", "To")
    add_figures(table, "Made", "Missing", "Out of turn", "Late")
    add_figures(table, "By the move", "By waiting", "In all", "Each time", unit=unit)
    steps = sorted(found.steps, key=lambda step: -step.cost)
    columns = [
        measured([step.moved for step in steps]),
        measured([step.waited for step in steps]),
        measured([step.cost for step in steps]),
        measured([step.cost / step.made if step.made else None for step in steps]),
    ]
    for step, *cells in zip(steps, *columns, strict=True):
        move = found.planned.moves[step.number]
        counts = (step.made, step.missing, step.turned, step.late)
        table.add_row(
            str(move.step), Text(move.source), Text(move.target), *map(str, counts), *cells
        )
    return table


def deviation_table(found: Adherence, zone: str | None) -> Table:
    """The first deviations of the order; not what was missing as there was nothing to lift."""
    told = [each for each in found.deviations if each.why != UNFED]
    more = len(told) - MOST
    title = "Where the order differs"
    table = new_table(f"{title}; {more} more in the workbook" if more > 0 else title)
    add_names(table, "When")
    add_figures(table, "Row", "Cycle", "Step")
    add_names(table, "Move", "What")
    for each in told[:MOST]:
        when, row, cycle, step, between = _placed(found, each, zone)
        table.add_row(
            "-" if when is None else when,
            "-" if row is None else str(row),
            "-" if cycle is None else str(cycle),
            "-" if step is None else str(step),
            Text(between),
            what_of(found, each),
        )
    return table


def cycle_table(found: Adherence, zone: str | None) -> Table:
    """The cycles that lost most."""
    unit = found.problem.unit
    table = new_table("Cycles that lost most")
    add_figures(table, "Cycle")
    add_names(table, "Began")
    add_figures(table, "Late", "Lost", unit=unit)
    add_figures(table, "Deviations", "Stops")
    known = [drift for drift in found.cycles if drift.gained is not None]
    worst = sorted(known, key=lambda drift: -(drift.gained or 0.0))[:10]
    columns = [
        measured([drift.late for drift in worst]),
        measured([drift.gained for drift in worst]),
    ]
    for drift, late, lost in zip(worst, *columns, strict=True):
        table.add_row(
            str(drift.cycle),
            moment(drift.begin, zone),
            late,
            lost,
            str(drift.deviations),
            str(drift.stops),
        )
    return table


Placed = tuple[str | None, int | None, int | None, int | None, str]


def _placed(found: Adherence, each: Deviation, zone: str | None) -> Placed:
    """When, in which row, cycle and step, between which stations a deviation is.

    Of a missing move when and in which row the move before it was made.
    """
    when = row = cycle = step = None
    between = ""
    if each.position is not None:
        around = len(found.planned.moves)
        move = found.planned.moves[each.position % around]
        step, between = move.step, move.between
        cycle = each.position // around + 1 if found.planned.cycle is not None else None
    number = each.after if each.made is None else each.made
    if number is not None:
        made = found.moves.row(number, named=True)
        when, row = moment(made["start"], zone), int(made["line"])
        if each.made is not None:
            between = f"{made['source']} to {made['target']}"
    return when, row, cycle, step, between


def deviation_rows(found: Adherence, zone: str | None) -> list[dict[str, Any]]:
    """Deviations as plain data."""
    rows = []
    for each in found.deviations:
        when, row, cycle, step, between = _placed(found, each, zone)
        rows.append(
            {
                "kind": each.kind,
                "time": when,
                "row": row,
                "cycle": cycle,
                "step": step,
                "move": between,
                "places_early": each.places,
                "why": each.why or None,
            }
        )
    return rows


def step_rows(found: Adherence) -> list[dict[str, Any]]:
    """Steps as plain data."""
    unit = found.problem.unit
    return [
        {
            "step": move.step,
            "from": move.source,
            "to": move.target,
            "made": step.made,
            "missing": step.missing,
            "out_of_turn": step.turned,
            "late": step.late,
            f"lost_by_move_{unit}": as_float(step.moved, 6),
            f"lost_by_waiting_{unit}": as_float(step.waited, 6),
            f"lost_{unit}": as_float(step.cost, 6),
        }
        for step, move in zip(found.steps, found.planned.moves, strict=True)
    ]


def cycle_rows(found: Adherence, zone: str | None) -> list[dict[str, Any]]:
    """Cycles as plain data."""
    unit = found.problem.unit
    return [_cycle_row(drift, zone, unit) for drift in found.cycles]


def _cycle_row(drift: Drift, zone: str | None, unit: str) -> dict[str, Any]:
    return {
        "cycle": drift.cycle,
        "began": moment(drift.begin, zone),
        f"late_{unit}": as_float(drift.late, 6),
        f"lost_{unit}": as_float(drift.gained, 6),
        "deviations": drift.deviations,
        "stops": drift.stops,
    }


def move_rows(found: Adherence, zone: str | None) -> Iterator[list[object]]:
    """Each logged move against the planned one."""
    around, cyclic = len(found.planned.moves), found.planned.cycle is not None
    differ = {each.made: each for each in found.deviations if each.made is not None}
    for number, made in enumerate(found.moves.iter_rows(named=True)):
        position, each = int(found.positions[number]), differ.get(number)
        kind = "in turn" if each is None else each.kind
        if position < 0 and each is not None and each.position is not None:
            position = each.position
        step = found.planned.moves[position % around].step if position >= 0 else None
        yield [
            *(moment(made["start"], zone), str(made["file"]), int(made["line"])),
            *(made["source"], made["target"], made["carrier"], kind, step),
            position // around + 1 if position >= 0 and cyclic else None,
            *(
                as_float(float(of[number]), 6)
                for of in (found.late, found.lost, found.waited, found.moved)
            ),
            "stop" if found.stopped[number] else None,
        ]


def adherence_tables(found: Adherence, zone: str | None) -> list[DataTable]:
    """Logged moves, steps, deviations and cycles."""
    unit = found.problem.unit
    header = [
        *("time", "file", "row", "from", "to", "carrier", "kind", "step", "cycle"),
        *(f"{name}_{unit}" for name in ("late", "lost", "lost_by_waiting", "lost_by_move_before")),
        "stop",
    ]
    tables = [DataTable("Moves", header, list(move_rows(found, zone)))]
    for name, rows in (
        ("Steps", step_rows(found)),
        ("Deviations", deviation_rows(found, zone)),
        ("Cycles", cycle_rows(found, zone)),
    ):
        if rows:
            tables.append(DataTable(name, list(rows[0]), [list(row.values()) for row in rows]))
    return tables
