"""A comparison as tables of data: figures, moves, dwells, what was changed."""

from __future__ import annotations

from ...analysis.compare.comparison import Comparison
from ...analysis.compare.rows import DwellPair, MoveRow
from ..tables.data_table import DataTable
from .table import figure_pair, move_change

_WINDOW = ("station", "dwell", "min_dwell", "max_dwell")


def comparison_tables(comparison: Comparison) -> list[DataTable]:
    """All of them; the figures come first, and so into a CSV file."""
    unit = comparison.before.problem.unit
    figures: list[list[object]] = []
    for row in comparison.figures:
        before, after = figure_pair(row, comparison)
        more = None if before is None or after is None else after - before
        figures.append([row.name, row.unit or None, before, after, more])
    header = ["place_before", "place_after", "recipe", "load", "stage_name"]
    header += [f"{name}_before" for name in ("from", "to", f"start_{unit}")]
    header += [f"{name}_after" for name in ("from", "to", f"start_{unit}")]
    dwells = ["recipe", "load", "stage_name"]
    for side in ("before", "after"):
        dwells += [f"station_{side}", *(f"{name}_{unit}_{side}" for name in _WINDOW[1:])]
    changes = [[one.place, one.key or None, one.before, one.after] for one in comparison.changes]
    return [
        DataTable("Figures", ["figure", "unit", "before", "after", "difference"], figures),
        DataTable("Moves", [*header, "change"], [_move(row) for row in comparison.moves]),
        DataTable("Dwells", [*dwells, f"longer_by_{unit}"], [*map(_dwell, comparison.dwells)]),
        DataTable("Changes of the line", ["where", "what", "before", "after"], changes),
    ]


def _move(row: MoveRow) -> list[object]:
    shown = row.before or row.after
    assert shown is not None
    cells: list[object] = [row.place_before, row.place_after, row.recipe, row.load, shown.label]
    for step, start in ((row.before, row.start_before), (row.after, row.start_after)):
        cells += [None] * 3 if step is None else [step.source, step.target, start]
    return [*cells, move_change(row) or None]


def _dwell(pair: DwellPair) -> list[object]:
    cells: list[object] = [pair.recipe, pair.load, pair.label]
    for row in (pair.before, pair.after):
        cells += [None] * 4 if row is None else [row.station, row.dwell, row.least, row.most]
    return [*cells, pair.longer]
