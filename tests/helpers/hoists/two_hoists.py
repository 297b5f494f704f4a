"""Lines with two hoists that several tests ask different things of."""

from __future__ import annotations

from random import Random

from hoistopt import Hoist, Motion, Problem, Recipe, Stage, Station, Track
from tests.helpers.command import PROBLEMS

TWO = PROBLEMS / "several" / "two_hoists.toml"
"""The worked example."""


def five_tanks() -> Problem:
    """Two hoists, five tanks, speeds gained over time; invented."""
    motion = {"speed": 0.5, "acceleration": 0.3, "settling": 1}
    empty = {"speed": 0.8, "acceleration": 0.4}
    hoist = {"lift": 9, "lower": 8, "loaded": motion, "empty": empty}
    windows = {"T1": (40, 80), "T2": (60, 100), "T3": (30, 60), "T4": (100, 170), "T5": (30, 100)}
    return Problem.from_data(
        {
            "name": "Small, invented",
            "tick": 1,
            "hoist": [{"name": "A", **hoist}, {"name": "B", **hoist}],
            "track": {"clearance": 1.6},
            "station": [
                {"name": "Load", "kind": "load", "position": 0},
                *({"name": n, "position": 1.5 * p} for p, n in enumerate(windows, start=1)),
                {"name": "Unload", "kind": "unload", "position": 9},
            ],
            "recipe": [
                {
                    "name": "R",
                    "stage": [
                        {"station": name, "min": low, "max": high}
                        for name, (low, high) in windows.items()
                    ],
                }
            ],
        }
    )


def between_ticks(seed: int, acceleration: float | None) -> Problem:
    """Three to five tanks in any order, two hoists, a tick so coarse that every move ends
    between two ticks."""
    draw = Random(seed)
    count = draw.randint(3, 5)
    loaded = Motion(draw.choice([0.3, 0.5, 0.7]), acceleration=acceleration)
    hoists = []
    for name in "AB":
        empty = Motion(draw.choice([0.7, 0.9]), acceleration=acceleration)
        hoists.append(Hoist(name=name, lift=2, lower=2, loaded=loaded, empty=empty))
    order = list(range(1, count + 1))
    draw.shuffle(order)
    stages = []
    for tank in order:
        least = draw.choice([10, 20, 30])
        stages.append(Stage(f"T{tank}", min=least, max=least + draw.choice([5, 10, 20])))
    return Problem(
        "Between two ticks",
        stations=[
            Station("In", kind="load", position=0),
            *(Station(f"T{n}", position=n) for n in range(1, count + 1)),
            Station("Out", kind="unload", position=count + 1),
        ],
        recipes=[Recipe("Parts", stages)],
        hoist=hoists,
        track=Track(1, from_=-1, to=count + 2),
        tick=1,
    )
