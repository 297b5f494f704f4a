"""The tables and figures on a terminal."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from ...analysis.figures.dwells import DwellRow
from ...analysis.figures.report import Report
from ...analysis.figures.steps import StepRow, tick_of
from ...base.numbers.decimals import aligned, as_decimal, mean_decimal, nearest, significant
from ...checker.neighbours import Neighbours
from ...problem import Problem
from ...schedule import Travel
from ..tables.terminal import add_figures, add_names, new_table
from .data import MILLI, shown_neighbours


def tables(report: Report) -> RenderableType:
    """Steps, dwells and figures, one under the other."""
    return Group(
        step_table(report),
        *hoist_tables(report),
        dwell_table(report),
        figure_table(report),
    )


def _load(report: Report, row: StepRow | DwellRow) -> list[Text]:
    """The cells that tell loads apart, where there is more than one."""
    # Text, here and below: a plain string would be searched for markup and emoji codes.
    cells = [Text(row.recipe)] if report.several_recipes else []
    return [*cells, Text(str(row.load))] if report.several_loads else cells


def _load_columns(report: Report, table: Table) -> None:
    if report.several_recipes:
        add_names(table, "Recipe")
    if report.several_loads:
        add_figures(table, "Load")


def step_table(report: Report) -> Table:
    """What the hoist does in one cycle, in order.

    Before each move it travels empty, then waits; the loaded move runs from the start of
    lifting to the end of lowering, and the drip is part of it.
    """
    unit = report.problem.unit
    table = new_table("Steps of one cycle")
    add_figures(table, "Step")
    add_figures(table, "Start", unit=unit)
    several = len(report.problem.hoists) > 1
    if several:
        add_names(table, "Hoist")
    add_names(table, "From", "To")
    _load_columns(report, table)
    add_figures(table, "Empty travel", "Wait", "Loaded move", "incl. drip", unit=unit)
    rows = report.steps
    starts = aligned([row.start for row in rows])
    times = (
        aligned([row.empty for row in rows]),
        aligned([row.wait for row in rows]),
        aligned([row.loaded for row in rows]),
        aligned([row.drip for row in rows]),
    )
    for row, start, *cells in zip(rows, starts, *times, strict=True):
        hoist = [Text(row.hoist or "")] if several else []
        ends = (*hoist, Text(row.source), Text(row.target))
        table.add_row(str(row.step), start, *ends, *_load(report, row), *cells)
    return table


def hoist_tables(report: Report) -> list[RenderableType]:
    """How several hoists give way, and what they leave one another; none where there is one."""
    tick = tick_of(report.schedule)
    beside = neighbours_table(report.problem, report.neighbours, tick)
    return [*travels_table(report.problem, report.schedule.travels, tick), *beside]


def neighbours_table(
    problem: Problem, neighbours: Sequence[Neighbours], tick: Fraction
) -> list[RenderableType]:
    """What hoists side by side leave one another in distance and time; none where there is one."""
    if not neighbours:
        return []
    table = new_table("Hoists side by side")
    add_names(table, "Left", "Right")
    add_figures(table, "Least distance", "Beyond clearance", unit=problem.length_unit)
    add_figures(table, "At", unit=problem.unit)
    add_figures(table, "Left is at", "Right is at", unit=problem.length_unit)
    add_figures(table, "Left late by", "Right late by", unit=problem.unit)
    keys = ("distance", "spare", "time", "here", "there", "left_late", "right_late")
    rows = shown_neighbours(neighbours, tick)
    columns = [aligned([row[key] for row in rows]) for key in keys]
    for row, *cells in zip(rows, *columns, strict=True):
        table.add_row(Text(row["left"]), Text(row["right"]), *cells)
    table.caption = (
        "Late by: what one hoist may be late, the other on time, before they are closer than "
        "the clearance; - for any time."
    )
    return [table]


def travels_table(
    problem: Problem, travels: Sequence[Travel], tick: Fraction
) -> list[RenderableType]:
    """The travels of a cycle, or of a programme, to give way; none where there are none.

    Parameters
    ----------
    tick : Fraction
        In which their starts are given, in the problem's unit.
    """
    if not travels:
        return []
    table = new_table("Travels to give way")
    add_figures(table, "Start", unit=problem.unit)
    add_names(table, "Hoist")
    add_figures(table, "To position", unit=problem.length_unit)
    add_names(table, "Station there")
    named = {station.position: station.name for station in problem.stations}
    starts = aligned([nearest(travel.start * tick, tick) for travel in travels])
    ends = [nearest(travel.to, MILLI) for travel in travels]
    for start, to, end, travel in zip(starts, aligned(ends), ends, travels, strict=True):
        table.add_row(start, Text(travel.hoist), to, Text(named.get(end, "")))
    table.caption = "Else a hoist travels to where its next step begins as soon as it is free."
    return [table]


def dwell_table(report: Report) -> Table:
    """What each load stands in each stage, against its window."""
    table = new_table("Dwell times")
    _load_columns(report, table)
    add_names(table, "Stage", "Station")
    names = ("Dwell", "Min", "Max", "Above min", "Below max")
    add_figures(table, *names, unit=report.problem.unit)
    rows = report.dwells
    sourced = any(row.source for row in rows)
    if sourced:
        add_names(table, "Source of the window")
    if any(row.dwell - row.least != row.margin_min for row in rows):
        tick = as_decimal(tick_of(report.schedule), tick_of(report.schedule))
        table.caption = (
            f"Rounded to the tick of {tick:f} {report.problem.unit}: dwell times up, margins down, "
            "so that no margin looks larger than it is; the two may differ by a tick."
        )
    times = (
        aligned([row.dwell for row in rows]),
        aligned([row.least for row in rows]),
        aligned([row.most for row in rows]),
        aligned([row.margin_min for row in rows]),
        aligned([row.margin_max for row in rows]),
    )
    for row, *cells in zip(rows, *times, strict=True):
        source = [Text(row.source)] if sourced else []
        table.add_row(*_load(report, row), Text(row.label), Text(row.station), *cells, *source)
    return table


def figure_table(report: Report) -> Table:
    """Output, loads in process, the hoist's day."""
    unit, found = report.problem.unit, report.figures
    table = Table(box=None, show_header=False, padding=(0, 2, 0, 1))
    table.add_column(style="bold")
    table.add_column()
    per_load = mean_decimal(found.time_per_load, tick_of(report.schedule))
    per_hour = significant(found.loads_per_hour, 4)
    available = "" if found.carriers_available is None else f" of {found.carriers_available}"
    lines = (
        ("Cycle time", f"{report.cycle_time:f} {unit}"),
        ("Mean time per load", f"{per_load:f} {unit}, {per_hour} loads an hour"),
        (
            "Loads in process",
            f"{found.in_process_least} to {found.in_process_most}, "
            f"{found.in_process_mean:.2f} on average",
        ),
        (
            "Hoist" if len(report.problem.hoists) == 1 else "Hoists, mean",
            f"{found.hoist_loaded:.1%} carrying, {found.hoist_empty:.1%} travelling empty, "
            f"{found.hoist_waiting:.1%} waiting",
        ),
        ("Carriers needed", f"{found.carriers_needed}{available}"),
    )
    for name, value in lines:
        table.add_row(name, Text(value))
    return table
