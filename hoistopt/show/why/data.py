"""What holds a cycle time, as plain data."""

from __future__ import annotations

from typing import Any

from ...analysis.why.held import Holding
from ..tables.jsonfile import json_number


def why_data(holding: Holding) -> dict[str, Any]:
    """All of it for JSON, times in the problem's unit."""
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
