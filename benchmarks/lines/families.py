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

VISITED = 0.75
"""Share of the tanks that each recipe of a mix goes through, on average."""


def random_line(family: str, tanks: int, seed: int, *, shuffled: bool = False) -> Problem:
    """One recipe through `tanks` tanks, in flow order or in shuffled layout.

    Moves take 20 s plus 2 s per place travelled, empty travel 2 s per place; least
    dwells are drawn evenly between 30 s and 200 s. Load and unload station stand at the
    two ends of the track.
    """
    rng = Random(f"{family} {tanks} {seed} {shuffled}")
    names = _names(tanks)
    layout = list(names)
    if shuffled:
        rng.shuffle(layout)
    stages = [{"station": name, **_window(rng, family)} for name in names]
    title = f"{family} {tanks} seed {seed}{' shuffled' if shuffled else ''}"
    return Problem.from_data(_line(title, layout, [{"name": "Part", "stage": stages}]))


def random_mix(
    family: str, tanks: int, recipes: int, seed: int, *, shuffled: bool = False
) -> Problem:
    """Several recipes on one line, one load of each in a set.

    Each recipe goes through about three quarters of the tanks, in their order, with
    windows of its own; every tank serves at least one recipe. Times as in
    :func:`random_line`.
    """
    rng = Random(f"mix {family} {tanks} {recipes} {seed} {shuffled}")
    names = _names(tanks)
    layout = list(names)
    if shuffled:
        rng.shuffle(layout)
    routes: list[list[str]] = [[] for _ in range(recipes)]
    for name in names:
        taken = [route for route in routes if rng.random() < VISITED]
        for route in taken or [rng.choice(routes)]:
            route.append(name)
    for route in routes:
        if not route:
            route.append(rng.choice(names))
    made = [
        {
            "name": f"Part {number}",
            "stage": [{"station": name, **_window(rng, family)} for name in route],
        }
        for number, route in enumerate(routes, start=1)
    ]
    title = f"{recipes} recipes, {family} {tanks} seed {seed}{' shuffled' if shuffled else ''}"
    data = _line(title, layout, made)
    data["cycle"] = {"mix": {recipe["name"]: 1 for recipe in made}}
    return Problem.from_data(data)


def _names(tanks: int) -> list[str]:
    return [f"Tank {number}" for number in range(1, tanks + 1)]


def _line(title: str, layout: list[str], recipes: list[dict[str, Any]]) -> dict[str, Any]:
    kinds = {"Load": "load", "Unload": "unload"}
    return {
        "name": title,
        "note": "Invented data: a random line of the benchmark families.",
        "hoist": {"lift": 10, "lower": 10, "loaded": {"speed": 1}, "empty": {"speed": 1}},
        "tick": 1,
        "station": [
            {"name": name, "kind": kinds.get(name, "tank"), "position": 2 * index}
            for index, name in enumerate(["Load", *layout, "Unload"])
        ],
        "recipe": recipes,
    }


def _window(rng: Random, family: str) -> dict[str, Any]:
    least = rng.randint(30, 200)
    window: dict[str, Any] = {"min": least}
    widest = round(least * rng.uniform(*WIDTHS[family]))
    if family != "open" or rng.random() < 0.5:
        window["max"] = widest
    return window
