"""Seeded families of random lines. Invented data: no such lines exist."""

from __future__ import annotations

from random import Random
from typing import Any

from hoistopt.problem import Problem

WIDTHS: dict[str, tuple[float, float]] = {
    "narrow": (1.1, 2.0),
    "loose": (2.0, 5.0),
    "very-loose": (4.0, 9.0),
    "open": (2.0, 5.0),
}
"""Maximum over minimum of each stage, drawn evenly; "open" leaves out half the maxima."""


def random_line(family: str, tanks: int, seed: int, *, shuffled: bool = False) -> Problem:
    """One recipe through `tanks` tanks, in flow order or in shuffled layout.

    Moves take 20 s plus 2 s per place travelled, empty travel 2 s per place; least
    dwells are drawn evenly between 30 s and 200 s. Load and unload station stand at the
    two ends of the track.
    """
    rng = Random(f"{family} {tanks} {seed} {shuffled}")
    names = [f"Tank {number}" for number in range(1, tanks + 1)]
    layout = list(names)
    if shuffled:
        rng.shuffle(layout)
    places = ["Load", *layout, "Unload"]
    kinds = {"Load": "load", "Unload": "unload"}
    stages = [{"station": name, **_window(rng, family)} for name in names]
    return Problem.from_data(
        {
            "name": f"{family} {tanks} seed {seed}{' shuffled' if shuffled else ''}",
            "note": "Invented data: a random line of the benchmark families.",
            "hoist": {"lift": 10, "lower": 10, "loaded": {"speed": 1}, "empty": {"speed": 1}},
            "tick": 1,
            "station": [
                {"name": name, "kind": kinds.get(name, "tank"), "position": 2 * index}
                for index, name in enumerate(places)
            ],
            "recipe": [{"name": "Part", "stage": stages}],
        }
    )


def _window(rng: Random, family: str) -> dict[str, Any]:
    least = rng.randint(30, 200)
    window: dict[str, Any] = {"min": least}
    widest = round(least * rng.uniform(*WIDTHS[family]))
    if family != "open" or rng.random() < 0.5:
        window["max"] = widest
    return window
