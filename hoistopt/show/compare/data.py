"""A comparison as plain data, for JSON."""

from __future__ import annotations

from typing import Any

from ...analysis.compare.comparison import Comparison
from ...analysis.compare.rows import DwellPair, FigurePair, MoveRow
from ...analysis.compare.side import Side
from ...analysis.figures.cautions import standing
from ..tables.jsonfile import json_number, versions


def comparison_data(comparison: Comparison) -> dict[str, Any]:
    """Everything a comparison holds; times in the unit named, None where there is nothing."""
    return {
        "unit": comparison.before.problem.unit,
        "before": _side(comparison.before),
        "after": _side(comparison.after),
        "same_order": comparison.same_order,
        "same_tanks": comparison.same_tanks,
        "changes": [
            {"where": c.place, "what": c.key or None, "before": before, "after": after}
            for c, (before, after) in ((c, c.texts) for c in comparison.changes)
        ],
        "figures": [_figure(row) for row in comparison.figures],
        "moves": [_move(row) for row in comparison.moves],
        "dwells": [_dwell(pair) for pair in comparison.dwells],
        "cautions": standing(
            any(len(side.problem.hoists) > 1 for side in (comparison.before, comparison.after))
        ),
        "versions": versions(),
    }


def _side(side: Side) -> dict[str, Any]:
    return {
        "problem": side.problem.name,
        "status": side.status,
        "cycle_time": json_number(side.report.cycle_time),
    }


def _figure(row: FigurePair) -> dict[str, Any]:
    return {
        "name": row.name,
        "unit": row.unit,
        "before": json_number(row.before),
        "after": json_number(row.after),
        "difference": json_number(row.difference),
    }


def _move(row: MoveRow) -> dict[str, Any]:
    shown = row.before or row.after
    assert shown is not None
    return {
        "recipe": row.recipe,
        "load": row.load,
        "stage": shown.label,
        "moved": row.moved,
        "other_tank": row.other_tank,
        "before": _one_move(row, later=False),
        "after": _one_move(row, later=True),
    }


def _one_move(row: MoveRow, *, later: bool) -> dict[str, Any] | None:
    step = row.after if later else row.before
    if step is None:
        return None
    place, start = (
        (row.place_after, row.start_after) if later else (row.place_before, row.start_before)
    )
    return {
        "step": step.step,
        "place": place,
        "start": json_number(start),
        "from": step.source,
        "to": step.target,
        "drip": json_number(step.drip),
    }


def _dwell(pair: DwellPair) -> dict[str, Any]:
    found: dict[str, Any] = {"recipe": pair.recipe, "load": pair.load, "stage": pair.label}
    for name, row in (("before", pair.before), ("after", pair.after)):
        found[name] = None if row is None else {
            "station": row.station,
            "dwell": json_number(row.dwell),
            "min": json_number(row.least),
            "max": json_number(row.most),
        }  # fmt: skip
    return {**found, "longer": json_number(pair.longer), "other_window": pair.other_window}
