"""Lines in flow order with buffers at both ends, as the published results want them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from hoistopt.problem import Problem


def cell(
    positions: Sequence[int], grip: int, least: Sequence[int], most: Sequence[int] | None = None
) -> Problem:
    """Load station, one tank a stage, unload station; travel takes as long as it is far.

    `grip` is the time to lift and again the time to lower; without `most` no maxima.
    """
    names = ["In", *(f"Tank {number}" for number in range(1, len(least) + 1)), "Out"]
    ends = {"In": "load", "Out": "unload"}
    where = dict(zip(names, positions, strict=True))
    stages = [
        {"station": name, "min": low, **({} if most is None else {"max": high})}
        for name, low, high in zip(names[1:-1], least, most or least, strict=True)
    ]
    pairs = [(a, b) for a in names for b in names if a != b]
    apart = {(a, b): abs(where[a] - where[b]) for a, b in pairs}
    return Problem.from_data(
        {
            "name": "robotic cell",
            "tick": 1,
            "station": [
                {"name": name, "position": where[name]}
                | ({"kind": ends[name], "capacity": "unlimited"} if name in ends else {})
                for name in names
            ],
            "recipe": [{"name": "Part", "stage": stages}],
            "times": {
                "loaded": [
                    {"from": a, "to": b, "time": apart[a, b] + 2 * grip} for a, b in pairwise(names)
                ],
                "empty": [{"from": a, "to": b, "time": apart[a, b]} for a, b in pairs],
            },
        }
    )
