"""Bounds that need no search: what groups of parallel tanks take, by hand and by brute force."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest

from hoistopt import Problem, solve
from hoistopt.instance import build_instance
from hoistopt.solver.bounds import lower_bound, tank_turn_bound


def two_recipes(dwells: list[int], tanks: int) -> Problem:
    """A recipe for each dwell, all in one group of tanks; moves take a second and nothing else."""
    names = [f"P{number}" for number in range(tanks)]
    recipes = [
        {"name": f"R{number}", "stage": [{"station": names, "min": dwell, "max": 3 * dwell}]}
        for number, dwell in enumerate(dwells)
    ]
    stations = [{"name": name, "position": 0} for name in names]
    return Problem.from_data(
        {
            "name": "Invented: dwells of their own in one group",
            "unit": "s",
            "hoist": {"lift": 0, "lower": 1, "loaded": {"speed": 1}, "empty": {"speed": 1}},
            "station": [
                {"name": "Bench", "kind": "load-unload", "position": 0, "capacity": "unlimited"},
                *stations,
            ],
            "recipe": recipes,
            "cycle": {"mix": {recipe["name"]: 1 for recipe in recipes}},
        }
    )


@pytest.mark.parametrize(
    ("dwells", "tanks", "least"),
    [
        # A move out and a move in, a second each, stand between two loads in a tank.
        ([500, 700], 2, 702),
        ([500, 700, 600], 2, 1104),
        ([700, 100, 100], 3, 702),
        ([300, 300, 300, 300, 20], 2, 2 * 302),
    ],
)
def test_no_tank_takes_less_than_its_share_of_the_longest(
    dwells: list[int], tanks: int, least: int
) -> None:
    problem = two_recipes(dwells, tanks)
    instance = build_instance(problem)
    assert tank_turn_bound(instance) >= least * instance.ticks_per_unit
    result = solve(problem, workers=1)
    assert result.status == "optimal" and result.cycle_time is not None
    assert lower_bound(instance) <= result.cycle_time * instance.ticks_per_unit


@pytest.mark.parametrize("seed", range(30))
def test_it_is_never_above_the_best_way_to_share_out(seed: int) -> None:
    """Every choice of tanks: a tank takes its dwells, and two moves between any two of them."""
    rng = Random(f"shared out {seed}")
    tanks = rng.randint(1, 3)
    dwells = [rng.randint(20, 300) for _ in range(rng.randint(tanks, 5))]
    instance = build_instance(two_recipes(dwells, tanks))
    unit = instance.ticks_per_unit
    best = min(
        max(
            sum(dwell + 2 for dwell, tank in zip(dwells, choice, strict=True) if tank == t)
            for t in range(tanks)
        )
        for choice in product(range(tanks), repeat=len(dwells))
    )
    bound = tank_turn_bound(instance)
    assert max(dwells) * unit < bound <= best * unit
