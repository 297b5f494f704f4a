"""A study as CSV and as plain data; a varied key with the unit of its figures."""

from __future__ import annotations

from typing import Any

from ...analysis.figures.cautions import standing
from ...analysis.study.keypath import read_paths
from ...analysis.study.points import Point, Study
from ...base.errors import InputError
from ...problem import Problem
from ...problem.units import unit_of
from ...schedule.files import schedule_to_data
from ..tables.data_table import DataTable
from ..tables.jsonfile import json_number, json_value, versions


def study_rows(study: Study, against: str | None = None) -> DataTable:
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
                *(json_number(x) for x in (point.cycle_time, point.answer.bound)),
                *(json_number(x) for x in (point.time_per_load, point.throughput, gain)),
                point.design.cost,
                int(id(point) in best),
                point.answer.reason,
            ]
        )
    return DataTable("Study", header, rows)


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
        "cautions": standing(len(study.problem.hoists) > 1),
        "versions": versions(),
    }


def _point(study: Study, point: Point, best: set[int]) -> dict[str, Any]:
    schedule = point.schedule
    return {
        "settings": {name: json_value(value) for name, value in point.settings.items()},
        "name": point.design.name or None,
        "cost": json_number(point.design.cost),
        "status": point.status,
        "degree": point.design.degree,
        "loads_per_cycle": point.loads_per_cycle,
        "cycle_time": json_number(point.cycle_time),
        "lower_bound": json_number(point.answer.bound),
        "mean_per_load": json_number(point.time_per_load),
        "loads_per_hour": json_number(point.throughput),
        "gain": json_number(study.gain(point)),
        "on_frontier": id(point) in best,
        "runtime": round(point.answer.runtime, 3),
        "reason": point.answer.reason,
        "moves": [] if schedule is None else schedule_to_data(schedule),
    }


def with_unit(key: str, problem: Problem) -> str:
    """A varied key with its unit in brackets; as it is where it has none, or several."""
    try:
        paths, rest = read_paths(key)
    except InputError:
        return key
    units = {unit_of(path.parts[-1].key, problem.unit, problem.length_unit) for path in paths}
    if rest or len(units) != 1 or None in units:
        return key
    return f"{key} [{units.pop()}]"
