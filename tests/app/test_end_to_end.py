"""Random lines with several features at once, from the problem to files that are read back.

Mixes, parallel tanks, stations of several places, drips, carriers and times from speeds,
accelerations and tables. None is known to have a schedule; each is solved, never refused by the
checker, and what is written is read back as the same schedule, which breaks no rule.
"""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from random import Random
from typing import Any

import pytest

from hoistopt import Effort, Problem, read_moves, verify
from hoistopt.app.solve import solve
from hoistopt.schedule import Schedule
from tests.helpers.usual import each

LINES, CHUNKS = 24, 6
USUAL, MORE = (1, 2, 3), (0, 4, 5)
"""Chunks of the usual run, every feature in some line of theirs, and the others."""


def random_line(seed: int) -> tuple[Problem, int]:
    """An invented line of one or two recipes, and the degree to solve it at."""
    rng = Random(f"end to end {seed}")
    names, stations = [], []
    for group in range(rng.randint(2, 4)):
        tanks = [f"T{group}{letter}" for letter in "abc"[: rng.choice((1, 1, 2, 3))]]
        names.append(tanks)
        for tank in tanks:
            place: dict[str, Any] = {"name": tank, "position": len(stations) + rng.choice((1, 1.4))}
            if len(tanks) == 1 and rng.random() < 0.2:
                place |= {"capacity": 2, "order": rng.choice(("fifo", "any"))}
            if rng.random() < 0.2:
                place["lift"] = rng.choice((4, 7.5))
            stations.append(place)
    recipes = []
    for number in range(rng.choice((1, 1, 2))):
        stages = []
        for tanks in names:
            if number and len(names) > 2 and rng.random() < 0.3:
                continue
            least = rng.choice((10, 25, 60.5)) * len(tanks)
            stage: dict[str, Any] = {"station": tanks, "min": least, "drip": rng.choice((0, 0, 3))}
            if rng.random() < 0.8:
                stage["max"] = least + rng.choice((0, 4, 30, 120))
            stages.append(stage)
        if rng.random() < 0.2 and stages[0] is not stages[-1]:
            stages.append({"station": names[0], "min": 5, "max": 300})
        recipes.append({"name": f"R{number}", "stage": stages})
    data: dict[str, Any] = {
        "name": f"Invented {seed}",
        "unit": "s",
        "hoist": {
            "lift": 5.5,
            "lower": 6,
            "loaded": {"speed": 0.5, "acceleration": rng.choice((0.3, 0.4)), "settling": 1},
            "empty": {"speed": 0.8, "acceleration": 0.5},
        },
        "recipe": recipes,
    }
    if rng.random() < 0.5:
        data["tick"] = 0.5
    if len(recipes) == 2:
        data["cycle"] = {"mix": {"R0": rng.choice((1, 2)), "R1": 1}}
    if rng.random() < 0.4:
        ends = [{"name": "Bench", "kind": "load-unload", "position": 0, "min_occupation": 20}]
    else:
        ends = [
            {"name": "In", "kind": "load", "position": 0},
            {"name": "Out", "kind": "unload", "position": len(stations) + 2},
        ]
    if rng.random() < 0.3:
        data["carriers"] = {"count": rng.randint(2, 5)}
    if rng.random() < 0.3:
        data["times"] = {"empty": [{"from": ends[-1]["name"], "to": names[0][0], "time": 9.25}]}
    data["station"] = [*ends, *stations]
    return Problem.from_data(data), 1 if len(recipes) == 2 else rng.choice((1, 2))


@pytest.mark.parametrize("chunk", each(len(USUAL), (*USUAL, *MORE)))
def test_what_is_solved_is_written_and_read_back_clean(chunk: int, tmp_path: Path) -> None:
    seen: Counter[str] = Counter()
    for seed in range(chunk, LINES, CHUNKS):
        problem, degree = random_line(seed)
        answer = solve(problem, (degree,), Effort(time_limit=1.5, workers=1))
        (result,) = answer.results
        seen[result.status] += 1
        assert result.status != "unknown", seed  # a line so small has one in no time, or none
        if result.schedule is None:
            assert result.status == "infeasible" and result.reason, seed
            continue
        assert verify(problem, result.schedule) == (), seed
        assert result.lower_bound is not None and result.lower_bound <= result.cycle_time
        table = answer.csv()
        assert table is not None
        (tmp_path / "moves.csv").write_text(table)
        (tmp_path / "moves.json").write_text(json.dumps(answer.data()))
        for name in ("moves.csv", "moves.json"):
            again = read_moves(tmp_path / name, problem)
            assert verify(problem, again) == (), (seed, name)
            assert times(again) == times(result.schedule), (seed, name)
    assert seen["optimal"] >= LINES / CHUNKS / 2


def times(schedule: Schedule) -> tuple[object, ...]:
    """All that a table says, with exact times in the unit."""
    return schedule.time(schedule.cycle), [
        (schedule.time(step.start), step.source, step.target, step.recipe, step.load, step.stage)
        for step in schedule
    ]
