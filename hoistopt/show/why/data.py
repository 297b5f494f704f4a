"""What holds a cycle time, as plain data."""

from __future__ import annotations

from itertools import accumulate
from typing import Any

from ...analysis.figures.steps import tick_of
from ...analysis.why.held import Holding
from ...base.numbers.decimals import as_decimal
from ..tables.data_table import DataTable
from ..tables.jsonfile import json_number


def why_data(holding: Holding) -> dict[str, Any]:
    """What holds the cycle time, as plain data for JSON; times in the problem's unit."""
    return {
        "cycle_time": json_number(holding.cycle_time),
        "least_of_this_order": json_number(holding.least),
        "exact": json_number(holding.exact),
        "total": json_number(holding.total),
        "cycles": holding.cycles,
        "alone": holding.alone,
        "totals": [
            {"what": total.words, "count": total.count, "time": json_number(total.time)}
            for total in holding.totals()
        ],
        "pieces": [
            {
                "what": piece.what,
                "words": piece.words,
                "time": json_number(piece.time),
                "begins": json_number(piece.begins),
                "stations": list(piece.stations),
                "load": piece.load,
                "stage": piece.stage,
                "step": piece.step,
            }
            for piece in holding.pieces
        ],
        "floors": {
            "hoist": json_number(holding.hoist_floor),
            "tank_turn": json_number(holding.turn_floor),
            "ends": json_number(holding.return_floor),
        },
        "spare_tanks": list(holding.spare_tanks),
        "summary": holding.summary(),
        "sentence": holding.sentence(),
        "remarks": holding.remarks(),
        "unit": holding.unit,
    }


def holding_tables(holding: Holding) -> list[DataTable]:
    """The circuit piece by piece with its running sum, then its pieces by kind."""
    unit, tick = holding.unit, tick_of(holding.schedule)
    cycle = holding.schedule.time(holding.schedule.cycle)
    sums = accumulate(piece.time for piece in holding.pieces)
    timed = [f"{name}_{unit}" for name in ("start", "time", "sum")]
    pieces: list[list[object]] = [
        [
            *(as_decimal(time, tick) for time in (piece.begins % cycle, piece.time, total)),
            *(piece.what, piece.words, " to ".join(piece.stations), piece.load, piece.stage),
            piece.step,
        ]
        for piece, total in zip(holding.pieces, sums, strict=True)
    ]
    header = [*timed, "kind", "what", "station", "load", "stage", "step"]
    totals = [
        [total.words, total.count, as_decimal(total.time, tick)] for total in holding.totals()
    ]
    return [
        DataTable("What holds the cycle", header, pieces, [holding.summary()]),
        DataTable("Totals", ["what", "count", f"time_{unit}"], totals),
    ]
