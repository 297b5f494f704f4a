"""A line where the empty hoist takes long on one way; the move from In is always between."""

from __future__ import annotations

from itertools import permutations
from typing import Any

from hoistopt.problem import Problem

# By hand: loaded moves take 5, empty travel 1, but `back` from Out to A. One load at a time:
# In at 0, A at 15, B at 30, C at 45, In again from 45 + 5 + 1 = 51 on. From C's move to the
# next cycle's of A 5 + back are needed: T - 45 + 15 is that at least. With two loads in the
# line at a time T is below 51, and the long way from one's C to the other's A does not fit.
NAMES = ("In", "A", "B", "C", "Out")


def slow_way_back(back: int) -> Problem:
    """A line of three tanks; `back` is empty travel from Out to A, far from any detour."""
    times: list[dict[str, Any]] = [
        {"from": a, "to": b, "time": back if (a, b) == ("Out", "A") else 1}
        for a, b in permutations(NAMES, 2)
    ]
    return Problem.from_data(
        {
            "name": "By hand",
            "tick": 1,
            "times": {"loaded": [entry | {"time": 5} for entry in times], "empty": times},
            "station": [
                {"name": "In", "kind": "load"},
                {"name": "A"},
                {"name": "B"},
                {"name": "C"},
                {"name": "Out", "kind": "unload"},
            ],
            "recipe": [
                {
                    "name": "Part",
                    "stage": [{"station": name, "min": 10, "max": 12} for name in "ABC"],
                }
            ],
        }
    )
