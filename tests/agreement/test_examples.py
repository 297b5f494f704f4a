"""The problem files: all invented but the published one, each solved, checked and drawn.

What an example is there to show must make a difference to its optimum.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from hoistopt import Result, best_degree, load_problem, verify
from hoistopt.problem import Problem
from hoistopt.show.timeway import save_timeway
from tests.helpers.answers import answer
from tests.reference.brute import least_cycle

PROBLEMS = sorted((Path(__file__).parents[2] / "problems").glob("*.toml"))
PUBLISHED = "phillips_unger_1976"
EVERY = pytest.mark.parametrize("path", PROBLEMS, ids=lambda path: path.stem)


@cache
def solved(name: str, degree: int = 1) -> Result:
    path = next(path for path in PROBLEMS if path.stem == name)
    return answer(load_problem(path), degree)


@EVERY
def test_every_example_is_proved_and_clean(path: Path) -> None:
    result = solved(path.stem)
    assert result.status == "optimal"
    assert result.cycle_time == result.lower_bound
    assert result.schedule is not None
    assert verify(load_problem(path), result.schedule) == ()


@EVERY
def test_every_example_is_drawn(path: Path, tmp_path: Path) -> None:
    result = solved(path.stem)
    assert result.schedule is not None and result.replay is not None
    picture = tmp_path / "line.png"
    save_timeway(load_problem(path), result.schedule, result.replay, picture)
    assert picture.read_bytes().startswith(b"\x89PNG")


@EVERY
def test_examples_say_that_they_are_invented(path: Path) -> None:
    text, problem = path.read_text(encoding="utf-8"), load_problem(path)
    if path.stem == PUBLISHED:
        assert "AIIE Transactions" in problem.source
    else:
        assert text.startswith("# Invented data.")
        assert problem.note.startswith("Invented: ")


SMALL = [path for path in PROBLEMS if len(load_problem(path).recipes) == 1]
SMALL = [path for path in SMALL if len(load_problem(path).recipes[0].stages) < 8]


@pytest.mark.parametrize("path", SMALL, ids=lambda path: path.stem)
def test_brute_force_finds_the_same_for_the_small_examples(path: Path) -> None:
    result = solved(path.stem)
    assert result.schedule is not None
    tick = Decimal(1) / int(result.schedule.ticks_per_unit)
    ticked = Problem.from_data({**load_problem(path).to_data(), "tick": tick})
    assert least_cycle(ticked) == result.schedule.cycle


# -- what each of them shows --------------------------------------------------------------

Change = Callable[[dict[str, Any]], dict[str, Any]]


def _first_tank_only(data: dict[str, Any]) -> dict[str, Any]:
    (recipe,) = data["recipe"]
    stages = [{**stage, "station": stage["station"][:1]} for stage in recipe["stage"]]
    return {**data, "recipe": [{**recipe, "stage": stages}]}


def _one_place_each(data: dict[str, Any]) -> dict[str, Any]:
    stations = [
        {**station, "capacity": 1} if "unload" not in station.get("kind", "") else station
        for station in data["station"]
    ]
    return {**data, "station": stations}


def _rinses_of_their_own(data: dict[str, Any]) -> dict[str, Any]:
    """A rinse for each of its stages, all at the position of the one."""
    rinse = next(station for station in data["station"] if station["name"] == "Rinse")
    stages, extra = [], []
    for number, stage in enumerate(data["recipe"][0]["stage"]):
        if stage["station"] == ("Rinse",):
            extra.append({**rinse, "name": f"Rinse {number}"})
            stage = {**stage, "station": (f"Rinse {number}",)}
        stages.append(stage)
    recipe = {**data["recipe"][0], "stage": stages}
    return {**data, "station": [*data["station"], *extra], "recipe": [recipe]}


def _without(*keys: str) -> Change:
    def change(data: dict[str, Any]) -> dict[str, Any]:
        return {key: part for key, part in data.items() if key not in keys}

    return change


def _hoist_without(key: str) -> Change:
    return lambda data: {**data, "hoist": _without(key)(data["hoist"])}


def _never_resting(data: dict[str, Any]) -> dict[str, Any]:
    return {**data, "station": [_without("min_rest")(station) for station in data["station"]]}


# Example, degree, and a change that takes the feature out and must make the line faster
# ("<") or slower (">") by at least one part in a hundred.
SHOWS: list[tuple[str, int, Change, str]] = [
    ("parallel_tanks", 3, _first_tank_only, ">"),
    ("roomy_dryer", 1, _one_place_each, ">"),
    ("shared_rinse", 1, _rinses_of_their_own, "<"),
    ("mixed_recipes", 1, _one_place_each, ">"),
    ("few_carriers", 1, _without("carriers"), "<"),
    ("carriers_by_hoist", 1, _without("carriers"), "<"),
    ("hoist_limits", 2, _without("crossing"), "<"),
    ("hoist_limits", 3, _hoist_without("unreachable"), "<"),
    ("paced_line", 1, _without("cycle"), "<"),
    ("resting_tank", 1, _never_resting, "<"),
]


@pytest.mark.parametrize(
    ("name", "degree", "change", "becomes"), SHOWS, ids=[f"{s[0]}-{i}" for i, s in enumerate(SHOWS)]
)
def test_what_an_example_shows_makes_a_difference(
    name: str, degree: int, change: Change, becomes: str
) -> None:
    data = load_problem(next(path for path in PROBLEMS if path.stem == name)).to_data()
    with_it = solved(name, degree).cycle_time
    without = answer(Problem.from_data(change(data)), degree).cycle_time
    assert with_it is not None and without is not None
    if becomes == "<":
        assert without < 0.99 * with_it
    else:
        assert without > 1.01 * with_it


def test_a_load_too_heavy_for_the_hoist_of_the_example_is_told() -> None:
    data = load_problem(next(p for p in PROBLEMS if p.stem == "hoist_limits")).to_data()
    data["hoist"] = {**data["hoist"], "payload": 184}
    result = answer(Problem.from_data(data))
    assert result.status == "infeasible"
    assert "mass 185" in (result.reason or "") and "payload of 184" in (result.reason or "")


def test_parallel_tanks_are_used_in_turn_only_where_the_degree_allows() -> None:
    results = [solved("parallel_tanks", degree) for degree in (1, 2, 3)]
    for degree, result in enumerate(results, start=1):
        assert result.schedule is not None
        nickel = {step.target for step in result.schedule if step.target.startswith("Nickel")}
        assert len(nickel) == degree
    assert best_degree(results) is results[2]


def test_three_carriers_stand_in_the_roomy_dryer_at_once() -> None:
    replay = solved("roomy_dryer").replay
    assert replay is not None
    stays = [stay for stay in replay.stays if stay.station == "Dryer"]
    assert max(sum(a.since <= b.since < (a.until or 0) for a in stays) for b in stays) == 3
    assert min(stay.dwell or 0 for stay in stays) > replay.cycle_time


def test_the_pace_of_the_example_falls_into_a_hole() -> None:
    problem = load_problem(next(p for p in PROBLEMS if p.stem == "paced_line"))
    cycle_time = solved("paced_line").cycle_time
    assert cycle_time is not None
    assert problem.cycle.min + 20 < cycle_time < (problem.cycle.max or 0)
    slower = {**problem.to_data(), "cycle": {"min": 295}}
    assert answer(Problem.from_data(slower)).cycle_time == 295


def test_the_example_of_a_mix_carries_two_of_one_and_one_of_the_other() -> None:
    schedule = solved("mixed_recipes").schedule
    assert schedule is not None
    entering = [step.recipe for step in schedule if step.stage == 0]
    assert sorted(entering) == ["Brass hinges", "Brass hinges", "Steel hinges"]


def test_the_hoist_of_the_example_brings_every_carrier_back() -> None:
    schedule = solved("carriers_by_hoist").schedule
    assert schedule is not None
    assert [(step.source, step.target) for step in schedule].count(("Unload", "Load")) == 1
