"""Every aim comes to the best there is: against all schedules of tiny lines, tick by tick."""

from __future__ import annotations

from random import Random
from typing import Any

import pytest

from hoistopt import solve, verify
from hoistopt.instance import build_instance
from hoistopt.problem import Problem
from hoistopt.solver import lexicographic
from hoistopt.solver.lexicographic import limited, settle
from tests.helpers.clocks import clock
from tests.helpers.small_schedules import best, every_schedule

ORDERS = (
    ("slack", "float", "cycle"),
    ("float", "slack", "travel"),
    ("travel", "loads", "nominal"),
    ("loads", "nominal", "cycle"),
    ("nominal", "slack", "loads"),
    ("slack", "travel", "float"),
    ("cycle", "nominal", "travel"),
)


def tiny_line(seed: int) -> tuple[Problem, int]:
    """Two tanks and one load a cycle, or one tank and two loads; whole ticks."""
    rng = Random(f"tiny {seed}")
    count, degree = rng.choice(((2, 1), (2, 1), (1, 2)))
    ends: list[dict[str, Any]] = [
        {"name": "In", "kind": "load", "min_occupation": rng.choice((0, 3, 6))},
        {"name": "Out", "kind": "unload", "min_occupation": rng.choice((0, 3, 6))},
    ]
    if rng.random() < 0.4:
        ends = [{"name": "Dock", "kind": "load-unload", "min_occupation": rng.choice((0, 2))}]
    tanks = ["A", "B"][:count]
    stations = [ends[0], *({"name": name} for name in tanks), *ends[1:]]
    names = [station["name"] for station in stations]
    pairs = [(a, b) for a in names for b in names if a != b]
    stages = []
    for name in tanks:
        least = rng.randint(0, 5)
        made: dict[str, Any] = {"station": name, "min": least}
        if rng.random() < 0.8:
            made["max"] = least + rng.randint(0, 7)
        if rng.random() < 0.8:
            made["nominal"] = rng.randint(least, made.get("max", least + 6))
        stages.append(made)
    data: dict[str, Any] = {
        "name": "tiny",
        "tick": 1,
        "station": stations,
        "recipe": [{"name": "R", "stage": stages}],
        "times": {
            "loaded": [{"from": a, "to": b, "time": rng.randint(1, 3)} for a, b in pairs],
            "empty": [{"from": a, "to": b, "time": rng.randint(0, 2)} for a, b in pairs],
        },
    }
    if rng.random() < 0.3:
        data["carriers"] = {"count": rng.randint(1, 3)}
    return Problem.from_data(data), degree


def settled(problem: Problem, degree: int, most: int, aims: tuple[str, ...]) -> list[int]:
    found = settle(limited(build_instance(problem, degree), most), aims, clock(workers=1))
    assert found.schedule is not None
    assert verify(problem, found.schedule) == ()
    assert all(one.proven for one in found.attained)
    assert [one.name for one in found.attained] == list(aims)
    return [one.value for one in found.attained]


def wrong(seed: int) -> list[str]:
    """Where aims do not come to what trying everything says."""
    problem, degree = tiny_line(seed)
    shortest = solve(problem, degree, workers=1).schedule
    if shortest is None:
        return []
    most = shortest.cycle + 3
    tried = [*every_schedule(problem, degree, shortest.cycle, most)]
    assert tried
    nominal = [
        None if stage.nominal is None else int(stage.nominal)
        for _ in range(degree)
        for stage in problem.recipes[0].stages
    ]
    found = []
    for aims in ORDERS:
        wanted = best(tried, aims, nominal)
        seen = settled(problem, degree, most, aims)
        if seen != wanted:
            found.append(f"{seed}: {aims} are {seen}, should be {wanted}")
    return found


@pytest.mark.parametrize("seed", range(24))
def test_aims_come_to_the_best_there_is(seed: int) -> None:
    assert wrong(seed) == []


@pytest.mark.parametrize("aim", ["travel", "nominal", "loads", "cycle"])
def test_an_aim_forgotten_is_noticed(aim: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each objective replaced by one that is always the same."""
    monkeypatch.setitem(lexicographic.OBJECTIVES, aim, lambda variables: 0)
    assert any(wrong(seed) for seed in range(24))


@pytest.mark.parametrize("aim", ["slack", "float"])
def test_a_margin_forgotten_is_noticed(aim: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each margin replaced by one that asks for a tick less."""
    asked = lexicographic.MARGINS[aim]
    monkeypatch.setitem(
        lexicographic.MARGINS, aim, lambda line, ticks, given: asked(line, max(0, ticks - 1), given)
    )
    assert any(wrong(seed) for seed in range(24))


def test_what_is_settled_first_is_kept() -> None:
    """Aims in two orders that pull against each other end differently on some line."""
    different = 0
    for seed in range(12):
        problem, degree = tiny_line(seed)
        shortest = solve(problem, degree, workers=1).schedule
        if shortest is not None:
            most = shortest.cycle + 3
            one = settled(problem, degree, most, ("slack", "float"))
            two = settled(problem, degree, most, ("float", "slack"))[::-1]
            assert one[0] >= two[0]
            different += one != two
    assert different
