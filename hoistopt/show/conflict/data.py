"""A conflict as plain data, and as CSV."""

from __future__ import annotations

from typing import Any

from ...conflict import Conflict, UnsatisfiableSubset
from ...conflict.answer import OtherDegrees
from ...conflict.demands import Demand
from ...conflict.relaxation import Change, Relaxation
from ..tables.data_table import DataTable
from ..tables.jsonfile import json_number

COLUMNS = (
    "part",
    "kind",
    "what",
    "recipe",
    "stage",
    "station",
    "to",
    "without_it",
    "today",
    "then",
    "by",
    "share_of_what_it_may_give",
    "cycle_time",
    "proved_smallest",
)

WITHOUT = {True: "possible", False: "still not", None: "not settled"}
"""What there is without one demand of a conflict."""


def conflict_data(found: Conflict) -> dict[str, Any]:
    """A conflict and its remedies as plain data for JSON; times in the problem's unit."""
    subset = found.subset
    return {
        "status": found.status,
        "degree": found.degree,
        "at_most": json_number(found.at_most),
        "unit": found.unit,
        "reason": found.reason,
        "sentence": None if subset is None else subset.sentence(),
        "members": [] if subset is None else member_data(subset),
        "minimal": None if subset is None else subset.minimal,
        "besides": [] if subset is None else besides_data(subset),
        "besides_complete": None if subset is None else subset.complete,
        "may_give": found.give or None,
        "hoist_may_give": found.hoist_give,
        "remedies": [_relaxation_data(one) for one in found.relaxations],
        "least_cycle_time": json_number(found.least),
        "least_proved": found.least_proven,
        "cycle_time": None if found.schedule is None else found.schedule.cycle_time,
        "other_degrees": None if found.others is None else _others_data(found.others),
    }


def _others_data(others: OtherDegrees) -> dict[str, Any]:
    return {
        "looked_at": list(others.looked_at),
        "reached": others.degree,
        "none_proved": others.proved,
        "not_reached_in_time": list(others.not_reached),
    }


def member_data(subset: UnsatisfiableSubset) -> list[dict[str, Any]]:
    """What cannot be kept together, for JSON."""
    return [
        {
            **_demand(demand),
            "necessary": necessary,
            "without_it": WITHOUT[without],
            **({"load": demand.load} if demand.load else {}),
        }
        for demand, necessary, without in zip(
            subset.demands, subset.necessary, subset.without, strict=True
        )
    ]


def besides_data(subset: UnsatisfiableSubset) -> list[dict[str, Any]]:
    """What cannot be kept together either, set by set, for JSON."""
    return [
        {"members": [_demand(demand) for demand in others], "minimal": minimal}
        for others, minimal in zip(subset.besides, subset.besides_minimal, strict=True)
    ]


def _demand(demand: Demand) -> dict[str, Any]:
    """What is asked for, for JSON."""
    return {
        "kind": demand.kind,
        "words": demand.words,
        "recipe": demand.recipe or None,
        "stage": demand.stage if demand.recipe else None,
        "station": demand.station or None,
    }


def _relaxation_data(one: Relaxation) -> dict[str, Any]:
    return {
        "status": one.status,
        "aim": one.aim,
        "share": json_number(one.share),
        "changes": [_change_data(change) for change in one.changes],
        "cycle_time": None if one.schedule is None else one.schedule.cycle_time,
    }


def _change_data(change: Change) -> dict[str, Any]:
    limit = change.limit
    return {
        "kind": limit.kind,
        "words": limit.words(change.new),
        "recipe": limit.recipe or None,
        "stage": limit.stage or None,
        "station": limit.station or None,
        "to": limit.to or None,
        "old": json_number(change.old),
        "new": json_number(change.new),
        "may_go_to": json_number(limit.far),
        "said": limit.said,
        "share": json_number(change.share),
    }


def _row(demand: Demand) -> list[object]:
    """What is asked for, and where, for CSV."""
    stage = demand.stage if demand.recipe else None
    return [demand.kind, demand.words, demand.recipe, stage, demand.station, None]


def conflict_table(found: Conflict) -> DataTable:
    """What conflicts, and what does besides, a row each; then every change of each remedy."""
    rows: list[list[object]] = []
    subset = found.subset
    if subset is not None:
        for demand, without in zip(subset.demands, subset.without, strict=True):
            rows.append(["conflict", *_row(demand), WITHOUT[without], *[None] * 6])
        for number, others in enumerate(subset.besides, start=1):
            rows += [[f"besides {number}", *_row(demand), *[None] * 7] for demand in others]
    for one in found.distinct_relaxations():
        part = "fewest changes" if one.aim == "number" else "smallest changes"
        for change in one.changes:
            limit = change.limit
            rows.append(
                [
                    part,
                    limit.kind,
                    limit.name,
                    limit.recipe or None,
                    limit.stage or None,
                    limit.station or None,
                    limit.to or None,
                    None,
                    change.old,
                    change.new,
                    change.by,
                    json_number(change.share),
                    None if one.schedule is None else one.schedule.cycle_time,
                    "yes" if one.status == "least" else "no",
                ]
            )
    return DataTable("Conflict", COLUMNS, rows, [f"Times are in {found.unit}."])
