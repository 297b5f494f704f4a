"""The trade-off curve in words, as a table, as CSV and as data."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

from rich.table import Table

from ...analysis.figures.cautions import STANDING
from ...analysis.robust.tradeoff import Point, Tradeoff
from ...base.numbers.decimals import aligned, as_decimal, per_cent, to_places
from ...schedule.files import schedule_to_data
from ..schedule.runnable import good_loads_an_hour, margin_data, percent_out, under
from ..tables.data_table import DataTable
from ..tables.jsonfile import json_number, versions
from ..tables.terminal import add_figures, new_table

ONCE = {"slack": "once", "float": "in every cycle"}
MEASURES = {
    "slack": (
        "Margin: what every dwell keeps below its maximum; a window narrower than that keeps all "
        "it has to give. Tightest start: how late any start may be once, all the same, before a "
        "dwell passes its maximum."
    ),
    "float": (
        "Margin: how much later every start may be in every cycle, one at a time; starts at a "
        "window too narrow for that have all it has to give. Tightest start: how late any start "
        "may be in every cycle, all the same."
    ),
}


def tradeoff_table(found: Tradeoff) -> Table:
    """One row per point of the curve."""
    table = new_table(f"{found.measure.capitalize()} against cycle time")
    add_figures(table, "Margin", "Cycle time", unit=found.problem.unit)
    add_figures(table, "Above shortest", unit="%")
    add_figures(table, f"Tightest start, {ONCE[found.measure]}", unit=found.problem.unit)
    add_figures(table, "Out of window", unit="%")
    add_figures(table, "Good loads per hour")
    table.add_column("Proof")
    tick = _tick(found)
    margins = aligned([as_decimal(point.margin, tick, "down") for point in found.points])
    cycles = aligned([as_decimal(point.cycle_time, tick) for point in found.points])
    starts = aligned([tightest(found, point) for point in found.points])
    rows = zip(found.points, margins, cycles, starts, strict=True)
    for point, margin, cycle, start in rows:
        table.add_row(
            margin,
            cycle,
            per_cent(above(found, point), places=2),
            "no limit" if point.tightest is None else start,
            per_cent(point.forgives.out_of_window.share, places=2),
            f"{good_loads_an_hour(found.problem, point.forgives):.2f}",
            "proved" if point.proven else "not proved",
        )
    return table


def reading(found: Tradeoff) -> str:
    """Under what the loads out of window were counted."""
    first = found.points[0].forgives
    return f"Out of window under {under(first)}, {first.out_of_window.loads} loads simulated."


def above(found: Tradeoff, point: Point) -> Fraction:
    """How much longer than the shortest cycle found, as a share of it."""
    return (point.cycle_time - found.least_cycle) / found.least_cycle


def tightest(found: Tradeoff, point: Point) -> Decimal | None:
    """How late any start of the schedule may be; None: as late as one likes."""
    if point.tightest is None:
        return None
    return as_decimal(point.tightest, _tick(found), "down")


def tradeoff_summary(found: Tradeoff) -> str:
    """What the curve says, in a sentence or two."""
    first, last = found.points[0], found.points[-1]
    text = f"At a cycle time of {_offer(found, first)}"
    if last.margin > first.margin:
        text += f"; at {_offer(found, last)}"
    runs = next((point for point in found.points if point.forgives.met), None)
    if runs is not None:
        tick = _tick(found)
        text += (
            f". The shortest of these that can be run takes {as_decimal(runs.cycle_time, tick):f} "
            f"{found.problem.unit}: "
            f"{percent_out(runs.forgives)} of the loads are out of window under "
            f"{under(runs.forgives)}"
        )
    limit = f"within {found.upto:f} % of the shortest cycle"
    if last.proven and found.complete:
        return f"{text}. There is never more {limit}."
    return f"{text}. There may be more points {limit}; see --points and --time-limit."


def _offer(found: Tradeoff, point: Point) -> str:
    """What one cycle time gives: the tightest start first, for that is what holds."""
    unit, tick, once = found.problem.unit, _tick(found), ONCE[found.measure]
    start = tightest(found, point)
    late = f"{start:f} {unit} late" if start is not None else "late without limit"
    margin = as_decimal(point.margin, tick, "down")
    return (
        f"{as_decimal(point.cycle_time, tick):f} {unit} any start may be {late} {once}, "
        f"with a margin of {margin:f} {unit} where windows are wide enough"
    )


def tradeoff_rows(found: Tradeoff) -> DataTable:
    """One row per point."""
    unit = found.problem.unit
    header = [f"margin_{unit}", f"cycle_time_{unit}", "above_shortest"]
    header += [f"tightest_start_{unit}", "proven", "out_of_window", "good_loads_per_hour"]
    rows: list[list[object]] = [
        [
            as_decimal(point.margin, _tick(found), "down"),
            as_decimal(point.cycle_time, _tick(found)),
            to_places(above(found, point), 6),
            tightest(found, point),
            "yes" if point.proven else "no",
            # A share from 0 to 1.
            to_places(point.forgives.out_of_window.share, 6),
            to_places(good_loads_an_hour(found.problem, point.forgives), 4),
        ]
        for point in found.points
    ]
    return DataTable("Trade-off", header, rows)


def tradeoff_data(found: Tradeoff) -> dict[str, Any]:
    """The curve with the moves of every point, as plain data."""
    return {
        "problem": found.problem.name,
        "unit": found.problem.unit,
        "measure": found.measure,
        "upto_percent": float(found.upto),
        "degree": found.shortest.degree,
        "shortest_cycle_time": found.shortest.cycle_time,
        "status": found.shortest.status,
        "reason": found.shortest.reason,
        "complete": found.complete,
        "points": [
            {
                "margin": json_number(point.margin),
                "cycle_time": json_number(point.cycle_time),
                "tightest_start": json_number(point.tightest),
                "proven": point.proven,
                "forgives": margin_data(found.problem, point.forgives),
                "moves": schedule_to_data(point.schedule),
            }
            for point in found.points
        ],
        "cautions": [STANDING],
        "versions": versions(),
    }


def _tick(found: Tradeoff) -> Fraction:
    return 1 / found.points[0].schedule.ticks_per_unit
