"""A schedule as plain data for JSON, for other programs and for `hoistopt verify` to read back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from ...analysis.figures.cautions import standing
from ...analysis.figures.dwells import DwellRow
from ...analysis.figures.report import Report
from ...analysis.figures.steps import tick_of
from ...base.numbers.decimals import as_decimal, as_float, nearest
from ...checker.neighbours import Neighbours
from ...problem import Problem
from ...schedule.files import schedule_to_data, travels_to_data
from ..tables.jsonfile import json_number, versions

if TYPE_CHECKING:
    from ...planning.result import Result


MILLI = Fraction(1, 1000)
"""Positions and distances are told to this, in the problem's unit of length."""


def result_data(
    problem: Problem, result: Result, report: Report | None, results: Sequence[Result] = ()
) -> dict[str, Any]:
    """The outcome of a solve as plain data.

    Parameters
    ----------
    problem : Problem
        The line.
    result : Result
        What the solver answered.
    report : Report or None
        Tables of the schedule; None where there is none.
    results : sequence of Result
        Of every degree that was tried, where there were several.
    """
    head: dict[str, Any] = {
        "problem": problem.name,
        "status": result.status,
        "cycle_time": None if report is None else json_number(report.cycle_time),
        "lower_bound": result.lower_bound,
        "gap": as_float(result.gap, 6),
        "degree": result.degree,
        "loads_per_cycle": result.loads_per_cycle,
        "unit": problem.unit,
        "runtime": round(result.runtime, 3),
        "stopped": result.stopped,
        "compiling": round(result.compiling, 3),
        "uncompiled": result.uncompiled,
        "reason": result.reason,
    }
    found = {**head, **tables_data(report, problem), "versions": versions()}
    if len(results) > 1:
        from ...planning.degrees import gains_over_last

        gains = gains_over_last(results)
        found["degrees"] = [_degree(r, gain) for r, gain in zip(results, gains, strict=True)]
    return found


def _degree(result: Result, gain: Fraction | None) -> dict[str, object]:
    return {
        "degree": result.degree,
        "loads_per_cycle": result.loads_per_cycle,
        "status": result.status,
        "cycle_time": result.cycle_time,
        "lower_bound": result.lower_bound,
        "time_per_load": result.time_per_load,
        "gain_over_last": as_float(gain, 6),
        "runtime": round(result.runtime, 3),
        "searched": result.runtime > 0,  # else the cycle is that of another degree
    }


def verified_data(problem: Problem, report: Report) -> dict[str, Any]:
    """A verified table of moves as plain data."""
    head: dict[str, Any] = {
        "problem": problem.name,
        "status": "verified",
        "cycle_time": json_number(report.cycle_time),
        "loads_per_cycle": sum(row.stage == 0 for row in report.steps),
        "unit": problem.unit,
        "violations": [],
    }
    return {**head, **tables_data(report, problem), "versions": versions()}


_NAMES = {
    "least": "min",
    "most": "max",
    "in_process_least": "in_process_min",
    "in_process_most": "in_process_max",
}
"""Fields that other words stand for in files."""


def tables_data(report: Report | None, problem: Problem) -> dict[str, Any]:
    """Moves, dwells, figures and cautions of a schedule; empty where there is none."""
    several = len(problem.hoists) > 1
    if report is None:
        return {"moves": [], "dwells": [], "figures": None, "cautions": standing(several)}
    return {
        "moves": _moves(report),
        **(_of_several(report) if several else {}),
        "dwells": [_plain(_dwell(row)) for row in report.dwells],
        "figures": _plain(asdict(report.figures)),
        "cautions": report.cautions,
    }


def _dwell(row: DwellRow) -> dict[str, Any]:
    """A dwell; where its window comes from only where that is said."""
    found = asdict(row)
    if not row.source:
        del found["source"]
    return found


def _of_several(report: Report) -> dict[str, Any]:
    """How hoists give way to one another, and what neighbours leave one another."""
    tick = tick_of(report.schedule)
    return {
        "travels": travels_to_data(report.schedule),
        "neighbours": [_plain(neighbour_row(found, tick)) for found in report.neighbours],
    }


def neighbour_row(found: Neighbours, tick: Fraction) -> dict[str, Any]:
    """What two neighbours leave one another, rounded so that no margin looks larger than it is.

    Parameters
    ----------
    found : Neighbours
    tick : Fraction
        Grid of the times, in the problem's unit.
    """
    row = asdict(found)
    for key, grid in (
        ("distance", MILLI), ("spare", MILLI), ("left_late", tick), ("right_late", tick),
    ):  # fmt: skip
        row[key] = None if row[key] is None else as_decimal(row[key], grid, "down")
    row["time"] = nearest(found.time, tick / 1000)
    for key in ("here", "there"):
        row[key] = nearest(row[key], MILLI)
    return row


def shown_neighbours(neighbours: Sequence[Neighbours], tick: Fraction) -> list[dict[str, Any]]:
    """As :func:`neighbour_row` for people: the time at which two are nearest is on the tick."""
    return [
        {**neighbour_row(found, tick), "time": nearest(found.time, tick)} for found in neighbours
    ]


def _moves(report: Report) -> list[dict[str, Any]]:
    """The moves as `hoistopt verify` reads them, each with what the tables add."""
    added = ("label", "came_from", "empty", "wait", "loaded", "drip", "dwell")
    rows = {row.step: row for row in report.steps}
    moves = schedule_to_data(report.schedule)
    for move in moves:
        row = rows[move["step"]]
        stated = {"recipe": row.recipe, "load": row.load, "stage": row.stage}
        move.update(stated, boundaries=row.boundaries)
        move.update({key: getattr(row, key) for key in added})
    return [_plain(move) for move in moves]


def _plain(data: dict[str, Any]) -> dict[str, Any]:
    """Rows as plain data; limits and extremes are min and max, as in every file."""
    return {_NAMES.get(key, key): _value(value) for key, value in data.items()}


def _value(value: Any) -> Any:
    return json_number(value) if isinstance(value, Decimal | Fraction) else value
