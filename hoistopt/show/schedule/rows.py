"""The tables of a schedule as data: its steps, for `hoistopt verify` to read back, and more."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction

from ...analysis.figures.dwells import DwellRow
from ...analysis.figures.report import Report
from ...analysis.figures.steps import StepRow, tick_of
from ...base.numbers.decimals import mean_decimal
from ...checker.neighbours import Neighbours
from ...problem import Problem
from ...schedule.csv_rows import TRAVEL
from ..tables.data_table import DataTable
from .data import neighbour_row

CYCLE = "Cycle"
"""The sheet of a workbook that holds the moves of a cycle."""


def steps_table(
    steps: list[StepRow],
    dwells: list[DwellRow],
    cycle_time: Decimal,
    unit: str,
    travels: Sequence[Mapping[str, object]] = (),
    notes: Sequence[str] = (),
) -> DataTable:
    """One row per move; times in `unit`, which the names of the added columns repeat.

    `loaded_move` runs from the start of lifting to the end of lowering, drip included. The
    dwell columns tell what the load had stood in the station it leaves. Where there are
    several hoists each row names its hoist, and their travels to give way are rows with a
    position to travel to.
    """
    several = any(row.hoist is not None for row in steps)
    window = {(row.load, row.stage): row for row in dwells}
    rows: list[list[object]] = []
    for row in steps:
        dwell = window.get((row.load, row.stage))
        rows.append(
            [row.step, row.start, row.source, row.target, row.recipe, row.load, row.stage]
            + [row.boundaries, cycle_time, row.loaded, row.wait, row.drip, row.empty]
            + [row.came_from, row.label, row.dwell]
            + ([None] * 4 if dwell is None else _window(dwell))
            + ([row.hoist, None] if several else [])
        )
    for travel in travels:
        cells = [None, travel["start"], *[None] * 6, cycle_time, *[None] * 11]
        rows.append([*cells, travel["hoist"], travel["to"]])
    plain = ["step", "start", "from", "to", "recipe", "load", "stage", "boundaries", "cycle_time"]
    timed = ["loaded_move", "wait", "drip", "empty_travel"]
    standing = ["dwell", "min_dwell", "max_dwell", "margin_to_min", "margin_to_max"]
    times = f"All times are in {unit}, start and cycle_time too."
    header = [*plain, *(f"{name}_{unit}" for name in timed), "empty_travel_from", "stage_name"]
    header += [f"{name}_{unit}" for name in standing]
    if several:
        header += ["hoist", TRAVEL]
    return DataTable(
        CYCLE, header, rows, [*notes, times], units={"start": unit, "cycle_time": unit}
    )


def _window(row: DwellRow) -> list[object]:
    return [row.least, row.most, row.margin_min, row.margin_max]


def dwells_table(told: Report) -> DataTable:
    """One row per load and stage: how long it stands, and its window."""
    unit = told.problem.unit
    timed = ["dwell", "min_dwell", "max_dwell", "margin_to_min", "margin_to_max"]
    header = ["recipe", "load", "stage", "stage_name", "station"]
    rows = [
        [row.recipe, row.load, row.stage, row.label, row.station, row.dwell, *_window(row)]
        for row in told.dwells
    ]
    heads = [*header, *(f"{name}_{unit}" for name in timed)]
    if any(row.source for row in told.dwells):
        heads.append("source_of_window")
        for cells, row in zip(rows, told.dwells, strict=True):
            cells.append(row.source)
    return DataTable("Dwells", heads, rows)


def hoists_table(
    problem: Problem, neighbours: Sequence[Neighbours], tick: Fraction
) -> list[DataTable]:
    """What hoists side by side leave one another; none where there is one."""
    if not neighbours:
        return []
    time, length = problem.unit, problem.length_unit
    units = {"distance": length, "spare": length, "time": time, "here": length, "there": length}
    units |= {"left_late": time, "right_late": time}
    rows = [neighbour_row(found, tick) for found in neighbours]
    header = ["left", "right", *units]
    cells = [[row[key] for key in header] for row in rows]
    return [DataTable("Hoists side by side", header, cells, units=units)]


def figures_table(told: Report) -> DataTable:
    """Cycle time, output, loads in process, the hoist's day: a row each, with its unit."""
    unit, found = told.problem.unit, told.figures
    rows: list[list[object]] = [
        ["cycle time", told.cycle_time, unit],
        ["mean time per load", mean_decimal(found.time_per_load, tick_of(told.schedule)), unit],
        ["loads per hour", found.loads_per_hour, "loads/h"],
        ["loads in process, least", found.in_process_least, "loads"],
        ["loads in process, greatest", found.in_process_most, "loads"],
        ["loads in process, mean", found.in_process_mean, "loads"],
        ["hoist carrying", found.hoist_loaded, "share of time"],
        ["hoist travelling empty", found.hoist_empty, "share of time"],
        ["hoist waiting", found.hoist_waiting, "share of time"],
        ["carriers needed", found.carriers_needed, "carriers"],
        ["carriers available", found.carriers_available, "carriers"],
    ]
    return DataTable("Figures", ["figure", "value", "unit"], rows)
