"""The trade-off curve in words, as a table, as CSV and as data."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from rich.table import Table

from ...analysis.figures.cautions import STANDING
from ...analysis.robust.tradeoff import Point, TradeOff
from ...analysis.slack import slack_limits
from ...base.decimals import aligned, as_decimal, told
from ...schedule import readable
from ...schedule.files import schedule_to_data
from ..tables.csvfile import csv_text
from ..tables.jsonfile import versions
from ..tables.terminal import add_figures, new_table

MEASURES = {
    "slack": "Slack: how late any start may be once before a load stands too long.",
    "float": "Float: how late any start may be for good, all others as planned.",
}
NARROW = "Where a window is too narrow for as much, all that it has to give."


def tradeoff_table(found: TradeOff) -> Table:
    """One row per point of the curve."""
    table = new_table(
        f"{found.measure.capitalize()} against cycle time, times in {found.problem.unit}"
    )
    add_figures(table, found.measure.capitalize(), "Cycle time", "Above shortest", "Tightest alone")
    table.add_column("Answer")
    tick = _tick(found)
    margins = aligned([as_decimal(point.margin, tick, "down") for point in found.points])
    cycles = aligned([as_decimal(point.cycle_time, tick) for point in found.points])
    for point, margin, cycle in zip(found.points, margins, cycles, strict=True):
        alone = tightest(found, point)
        table.add_row(
            margin,
            cycle,
            f"{float(above(found, point)):.2%}",
            "no limit" if alone is None else told(alone),
            "proved" if point.proven else "not proved",
        )
    return table


def above(found: TradeOff, point: Point) -> Fraction:
    """How much longer than the shortest cycle, as a share of it."""
    assert found.shortest.schedule is not None
    least = found.shortest.schedule.time(found.shortest.schedule.cycle)
    return (point.cycle_time - least) / least


def tightest(found: TradeOff, point: Point) -> Fraction | None:
    """How late any start of the schedule may be once; None: as late as one likes."""
    limits = slack_limits(found.problem, point.schedule)
    return None if limits.least_alone is None else limits.time(limits.least_alone)


def tradeoff_summary(found: TradeOff) -> str:
    """What the curve says, in a sentence or two."""
    unit = found.problem.unit
    first, last = found.points[0], found.points[-1]
    text = (
        f"At a cycle time of {readable(first.cycle_time)} {unit} a {found.measure} of "
        f"{readable(first.margin)} {unit} is to be had"
    )
    if last.margin > first.margin:
        text += f", at {readable(last.cycle_time)} {unit} one of {readable(last.margin)} {unit}"
    limit = f"within {found.upto:f} % of the shortest cycle"
    if last.proven and found.complete:
        return f"{text}, and never more {limit}."
    return f"{text}. There may be more points {limit}; see --points and --time-limit."


def tradeoff_csv(found: TradeOff) -> str:
    """One row per point."""
    unit = found.problem.unit
    header = [f"{found.measure}_{unit}", f"cycle_time_{unit}", "above_shortest", "proven"]
    rows: list[list[object]] = [
        [
            as_decimal(point.margin, _tick(found), "down"),
            as_decimal(point.cycle_time, _tick(found)),
            f"{float(above(found, point)):.6f}",
            "yes" if point.proven else "no",
        ]
        for point in found.points
    ]
    return csv_text(header, rows, [STANDING])


def tradeoff_data(found: TradeOff) -> dict[str, Any]:
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
                found.measure: readable(point.margin),
                "cycle_time": readable(point.cycle_time),
                "proven": point.proven,
                "moves": schedule_to_data(point.schedule),
            }
            for point in found.points
        ],
        "cautions": [STANDING],
        "versions": versions(),
    }


def _tick(found: TradeOff) -> Fraction:
    return 1 / found.points[0].schedule.ticks_per_unit
