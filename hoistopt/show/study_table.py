"""A study as a table: on a terminal, as CSV, as data."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

from rich import box
from rich.table import Table
from rich.text import Text

from ..analysis.figures.cautions import STANDING
from ..analysis.study.levels import Value, shown
from ..analysis.study.run import Point, Study
from ..schedule import readable
from ..schedule.files import schedule_to_data
from .tables.csvfile import csv_text
from .tables.jsonfile import versions

ANSWERS = {
    "optimal": "proved least",
    "feasible": "not proved least",
    "infeasible": "no schedule",
    "unknown": "none found in time",
    "failed": "failed",
    "not run": "not run",
}


def study_table(study: Study, against: str | None = None) -> Table:
    """One row a point, after the line as it is; the frontier is marked where there is cost."""
    table = Table(
        title=f"Study of {study.problem.name}, times in {study.problem.unit}",
        box=box.SIMPLE_HEAD,
        title_justify="left",
        title_style="bold",
    )
    named = any(point.design.name for point in study.points)
    priced = any(point.design.cost is not None for point in study.points)
    for name in (*(["Design"] if named else []), *study.names):
        table.add_column(Text(name), overflow="fold")
    for name in ("Cycle time", "Bound", "Mean per load", "Loads per hour", "Gain"):
        table.add_column(name, justify="right", no_wrap=True)
    if priced:
        table.add_column("Cost", justify="right", no_wrap=True)
    table.add_column("Answer")
    best = {id(point) for point in study.frontier(against)}
    for point in (study.reference, *study.points):
        mark = ", on the frontier" if id(point) in best else ""
        table.add_row(
            *_settings(study, point, named),
            *_figures(study, point),
            *([_plain(point.design.cost)] if priced else []),
            Text(ANSWERS[point.status] + mark),
        )
    return table


def _settings(study: Study, point: Point, named: bool) -> list[Text]:
    if point is study.reference:
        cells = ["as it is", *[""] * (len(study.names) + named - 1)]
    else:
        cells = [point.design.name] if named else []
        cells += [shown(point.settings[n]) if n in point.settings else "" for n in study.names]
    return [Text(cell) for cell in cells]


def _figures(study: Study, point: Point) -> list[str]:
    gain = study.gain(point)
    return [
        _plain(point.cycle_time),
        _plain(point.answer.bound),
        _rounded(point.time_per_load),
        _rounded(point.throughput),
        "-" if gain is None or point is study.reference else f"{float(gain):+.1%}",
    ]


def _plain(value: Fraction | Decimal | None) -> str:
    return "-" if value is None else f"{float(value):.10g}"


def _rounded(value: Fraction | None) -> str:
    return "-" if value is None else f"{float(value):.5g}"


def study_summary(study: Study, against: str | None = None) -> str:
    """What came of it, in a few sentences."""
    told = []
    best = study.best
    if best is None:
        told.append("No point has a schedule.")
    else:
        gain = study.gain(best)
        more = "" if gain is None else f", {float(gain):+.1%} against the line as it is"
        told.append(
            f"Most loads per hour: {_rounded(best.throughput)} with {best.design.label}{more}."
        )
    frontier = study.frontier(against)
    if len(frontier) > 1:
        what = f"by {against}" if against else "by cost"
        steps = "; ".join(
            f"{_plain(study.cost_of(point, against))}: {_rounded(point.throughput)} "
            f"({point.design.label})"
            for point in frontier
        )
        told.append(f"Efficient {what}: {steps}.")
    for status in ("feasible", "infeasible", "unknown", "failed", "not run"):
        count = sum(point.status == status for point in study.points)
        if count:
            told.append(f"{count} of {len(study.points)} points: {ANSWERS[status]}.")
    told += [f"{name} makes no difference to this line." for name in study.idle]
    if _too_low(study):
        told.append(
            "At degree 1 every load uses the same of several equal stations: "
            "more of them help from a higher degree on."
        )
    return "\n".join(told)


def _too_low(study: Study) -> bool:
    """Whether stations were added that a cycle of one load cannot make use of."""
    added = [p for p in study.points if any(n.startswith("parallel(") for n in p.settings)]
    return bool(added) and all(p.loads_per_cycle == 1 for p in added)


def study_csv(study: Study, against: str | None = None) -> str:
    """One row a point, the line as it is first; schedules are in the JSON."""
    unit = study.problem.unit
    header = [*study.names, "name", "degree", "loads_per_cycle", "answer"]
    header += [f"cycle_time_{unit}", f"lower_bound_{unit}", f"mean_per_load_{unit}"]
    header += ["loads_per_hour", "gain", "cost", "on_frontier", "reason"]
    best = {id(point) for point in study.frontier(against)}
    rows: list[list[object]] = []
    for point in (study.reference, *study.points):
        gain = study.gain(point)
        rows.append(
            [
                *(point.settings.get(name) for name in study.names),
                "as it is" if point is study.reference else point.design.name or None,
                *(point.design.degree, point.loads_per_cycle, point.status),
                *(_number(x) for x in (point.cycle_time, point.answer.bound)),
                *(_number(x) for x in (point.time_per_load, point.throughput, gain)),
                point.design.cost,
                int(id(point) in best),
                point.answer.reason,
            ]
        )
    return csv_text(header, rows)


def study_data(study: Study, against: str | None = None) -> dict[str, Any]:
    """Everything as plain data, with the schedule of every point."""
    best = {id(point) for point in study.frontier(against)}
    return {
        "problem": study.problem.name,
        "unit": study.problem.unit,
        "complete": study.complete,
        "frontier_against": against or "cost",
        "without_effect": list(study.idle),
        "reference": _point(study, study.reference, best),
        "points": [_point(study, point, best) for point in study.points],
        "cautions": [STANDING],
        "versions": versions(),
    }


def _point(study: Study, point: Point, best: set[int]) -> dict[str, Any]:
    schedule = point.schedule
    return {
        "settings": {name: _json(value) for name, value in point.settings.items()},
        "name": point.design.name or None,
        "cost": _json(point.design.cost),
        "status": point.status,
        "degree": point.design.degree,
        "loads_per_cycle": point.loads_per_cycle,
        "cycle_time": _number(point.cycle_time),
        "lower_bound": _number(point.answer.bound),
        "mean_per_load": _number(point.time_per_load),
        "loads_per_hour": _number(point.throughput),
        "gain": _number(study.gain(point)),
        "on_frontier": id(point) in best,
        "runtime": round(point.answer.runtime, 3),
        "reason": point.answer.reason,
        "moves": [] if schedule is None else schedule_to_data(schedule),
    }


def _json(value: Value) -> int | float | str | None:
    return readable(Fraction(value)) if isinstance(value, Decimal) else value


def _number(value: Fraction | None) -> int | float | None:
    """Exact where it is whole, else to nine digits: enough for any use but a proof."""
    if value is None or value.denominator == 1:
        return None if value is None else int(value)
    return float(f"{float(value):.9g}")
