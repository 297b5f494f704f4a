"""Levers as plain data, and as CSV."""

from __future__ import annotations

from typing import Any

from ...analysis.levers.answer import Lever, Levers, Threshold
from ...base.numbers.decimals import as_float
from ..tables.data_table import DataTable
from ..tables.jsonfile import json_number

COLUMNS = (
    "kind",
    "limit",
    "recipe",
    "stage",
    "station",
    "to",
    "hoist",
    "today",
    "changed_to",
    "cycle_time",
    "cycle_time_at_least",
    "shorter_by_at_least",
    "shorter_by_at_most",
    "loads_per_hour_gained_at_least",
    "loads_per_hour_gained_at_most",
    "settled",
    "pays_from",
    "pays_not_before",
    "never_pays",
)


def levers_data(found: Levers) -> dict[str, Any]:
    """The levers of a line as plain data for JSON; times in the problem's unit."""
    hourly = None if found.cycle_time is None else found.loads_per_hour(found.cycle_time)
    return {
        "status": found.status,
        "degree": found.degree,
        "unit": found.unit,
        "cycle_time": json_number(found.cycle_time),
        "lower_bound": json_number(found.bound),
        "loads_per_hour": as_float(hourly, 4),
        "reason": found.reason,
        "runtime": round(found.runtime, 3),
        "levers": [_lever_data(found, lever) for lever in found.levers],
    }


def _lever_data(found: Levers, lever: Lever) -> dict[str, Any]:
    limit = lever.limit
    return {
        "kind": limit.kind,
        "words": lever.words,
        "recipe": limit.recipe or None,
        "stage": limit.stage or None,
        "station": limit.station or None,
        "to": limit.to or None,
        "hoist": limit.hoist or None,
        "old": json_number(limit.today),
        "new": json_number(lever.new),
        "may_go_to": json_number(limit.far),
        "said": limit.said,
        "cycle_time": json_number(lever.cycle_time),
        "lower_bound": json_number(lever.bound),
        "gain_at_least": json_number(lever.gain_least),
        "gain_at_most": json_number(lever.gain_most),
        "loads_per_hour_gained_at_least": as_float(found.gained_per_hour(lever.gain_least), 4),
        "loads_per_hour_gained_at_most": as_float(found.gained_per_hour(lever.gain_most), 4),
        "proved": lever.proven,
        "how": lever.how,
        "beyond_amount": lever.beyond,
        "threshold": None if lever.threshold is None else _threshold_data(lever.threshold),
    }


def _threshold_data(threshold: Threshold) -> dict[str, Any]:
    return {
        "pays_from": json_number(threshold.pays),
        "pays_not_before": json_number(threshold.proved_idle),
        "never": threshold.never,
        "proved": threshold.settled,
    }


def levers_table(found: Levers) -> DataTable:
    """A row for each limit, the best first."""
    rows: list[list[object]] = []
    for lever in found.levers:
        limit, threshold = lever.limit, lever.threshold
        rows.append(
            [
                limit.kind,
                limit.name,
                limit.recipe or None,
                limit.stage or None,
                limit.station or None,
                limit.to or None,
                limit.hoist or None,
                limit.today,
                lever.new,
                json_number(lever.cycle_time),
                json_number(lever.bound),
                json_number(lever.gain_least),
                json_number(lever.gain_most),
                as_float(found.gained_per_hour(lever.gain_least), 4),
                as_float(found.gained_per_hour(lever.gain_most), 4),
                "yes" if lever.proven else "no",
                None if threshold is None else threshold.pays,
                None if threshold is None else threshold.proved_idle,
                None if threshold is None else "yes" if threshold.never else "no",
            ]
        )
    return DataTable("Levers", COLUMNS, rows, [f"Times are in {found.unit}."])
