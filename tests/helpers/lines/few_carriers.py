"""A line whose carriers are what it lacks, for conflicts and for levers."""

from __future__ import annotations

from typing import Any

from hoistopt import Problem


def few_carriers(**carriers: Any) -> Problem:
    """One tank for 100 between separate ends; carrying takes 10, going empty 5."""
    names = ("In", "A", "Out")
    pairs = [(a, b) for a in names for b in names if a != b]
    return Problem.from_data(
        {
            "name": "Few carriers",
            "tick": 1,
            "station": [
                {"name": "In", "kind": "load", "min_occupation": 20, "position": 0},
                {"name": "A", "position": 1},
                {"name": "Out", "kind": "unload", "position": 2},
            ],
            "times": {
                "loaded": [{"from": a, "to": b, "time": 10} for a, b in pairs],
                "empty": [{"from": a, "to": b, "time": 5} for a, b in pairs],
            },
            "recipe": [{"name": "R", "stage": [{"station": "A", "min": 100, "max": 120}]}],
            "carriers": carriers,
        }
    )
