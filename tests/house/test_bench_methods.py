"""The bench's baselines and families: the same optimum as hoistopt, every schedule checked."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest

from benchmarks.carry import (
    problem_to_toml,
    schedule_from_json,
    schedule_to_json,
)
from benchmarks.lines.cases import Case, fingerprint, published
from benchmarks.lines.families import WIDTHS, random_line, random_mix
from benchmarks.methods import pairwise
from benchmarks.methods.line import Unsupported, read_line
from benchmarks.methods.outcome import Clock
from hoistopt import load_problem, verify
from hoistopt.problem import Problem
from tests.helpers.answers import answer

SMALL = [
    *(Case("open", 6, seed) for seed in range(3)),
    *(Case(family, 4, 0, 1, shuffled) for family, shuffled in product(WIDTHS, (False, True))),
    *(Case(family, 3, 1, 2) for family in WIDTHS),
    *(Case(family, 3, 2, 3) for family in ("narrow", "loose")),
    *(Case(family, 3, 0, degree, True, 2) for family in ("narrow", "open") for degree in (1, 2)),
    Case("loose", 3, 0, 1, False, 3),
]


def with_ends(problem: Problem, kind: str, rng: Random) -> Problem:
    """The line with ends that hold carriers for a while."""
    data = problem.to_data()
    first, *tanks, last = data["station"]
    if kind == "one place for both":
        stations = [first | {"kind": "load-unload", "min_occupation": rng.randint(0, 300)}, *tanks]
    else:
        first, last = (end | {"min_occupation": rng.randint(50, 300)} for end in (first, last))
        stations = [first, *tanks, last]
    return Problem.from_data(data | {"station": stations})


def held_to_hoistopt(method: object, problem: Problem, degree: int) -> None:
    clock = Clock(60)
    found = method.solve(problem, degree, 1, 0, clock)  # type: ignore[attr-defined]
    expected = answer(problem, degree)
    assert expected.schedule is not None and found.schedule is not None
    assert found.status == "optimal"
    assert (found.schedule.cycle, found.bound) == (expected.schedule.cycle,) * 2
    assert verify(problem, found.schedule) == ()
    assert clock.first is not None and clock.best is not None
    assert 0 < clock.first <= clock.best <= clock.elapsed()


@pytest.mark.parametrize("case", SMALL, ids=lambda case: case.name)
def test_the_direct_model_finds_the_same_cycle_time(case: Case) -> None:
    held_to_hoistopt(pairwise, case.problem(), case.degree)


@pytest.mark.parametrize("case", SMALL, ids=lambda case: case.name)
def test_the_big_m_program_finds_the_same_cycle_time(case: Case) -> None:
    pytest.importorskip("highspy")
    from benchmarks.methods import big_m

    held_to_hoistopt(big_m, case.problem(), case.degree)


@pytest.mark.parametrize("kind", ["one place for both", "two places"])
@pytest.mark.parametrize("seed", range(4))
def test_the_baselines_know_the_ends_of_the_line(seed: int, kind: str) -> None:
    pytest.importorskip("highspy")
    from benchmarks.methods import big_m

    rng = Random(f"{seed} {kind}")
    degree = rng.choice((1, 2, 3))
    line = with_ends(random_line("loose", rng.randint(1, 3), seed), kind, rng)
    held_to_hoistopt(pairwise, line, degree)
    held_to_hoistopt(big_m, line, degree)


@pytest.mark.parametrize("way", [("Tank 1", "Load"), ("Tank 2", "Tank 3"), ("Unload", "Tank 1")])
def test_a_table_may_make_a_way_longer_than_any_way_round(way: tuple[str, str]) -> None:
    # Then the time between two moves is no longer implied by those to moves between them.
    pytest.importorskip("highspy")
    from benchmarks.methods import big_m

    data = random_line("open", 3, 0).to_data()
    for stage in data["recipe"][0]["stage"]:
        stage.pop("max", None)  # or there may be no schedule
    data["times"] = {"empty": [{"from": way[0], "to": way[1], "time": 900}]}
    line = Problem.from_data(data)
    held_to_hoistopt(pairwise, line, 1)
    held_to_hoistopt(big_m, line, 1)


def test_the_direct_model_finds_the_published_521_s() -> None:
    # Source: Phillips and Unger (1976), AIIE Transactions 8(2), 219-225: 521 s.
    case = published(1)
    found = pairwise.solve(case.problem(), 1, 1, 0, Clock(60))
    assert found.status == "optimal" and found.schedule is not None
    assert found.schedule.cycle_time == 521


@pytest.mark.parametrize(
    "change",
    [
        {"carriers": {"count": 5}},
        {"cycle": {"min": 500}},
        {"station": {"capacity": 2}},
        {"stage": {"station": ["Tank 1", "Tank 3"]}},
    ],
    ids=str,
)
def test_the_baselines_refuse_what_they_do_not_state(change: dict) -> None:  # type: ignore[type-arg]
    data = random_line("loose", 3, 0).to_data()
    if "station" in change:
        data["station"][1].update(change["station"])
    elif "stage" in change:
        data["recipe"][0]["stage"][0].update(change["stage"])
    else:
        data.update(change)
    with pytest.raises(Unsupported):
        read_line(Problem.from_data(data), 1)


# -- families --------------------------------------------------------------------------


@pytest.mark.parametrize("family", WIDTHS)
def test_windows_are_as_wide_as_the_family_says(family: str) -> None:
    low, high = WIDTHS[family]
    stages = [s for seed in range(5) for s in random_line(family, 40, seed).recipes[0].stages]
    shares = [float(s.max / s.min) for s in stages if s.max is not None]
    assert all(low - 0.02 <= share <= high + 0.02 for share in shares)
    assert max(shares) > low + 0.9 * (high - low) and min(shares) < low + 0.1 * (high - low)
    without = 1 - len(shares) / len(stages)
    assert 0.4 < without < 0.6 if family == "open" else without == 0


def test_a_seed_gives_the_same_line_and_another_seed_another() -> None:
    cases = [Case("loose", 8, seed, 1, shuffled) for seed in (0, 1) for shuffled in (False, True)]
    assert [c.problem() for c in cases] == [c.problem() for c in cases]
    assert len({fingerprint(case) for case in cases}) == 4
    assert len({case.name for case in cases}) == 4


def test_a_shuffled_layout_has_the_tanks_in_another_order() -> None:
    flow, shuffled = (random_line("loose", 12, 0, shuffled=given) for given in (False, True))
    order = [stage.station[0] for stage in flow.recipes[0].stages]
    assert [s.name for s in flow.stations[1:-1]] == order
    assert [s.name for s in shuffled.stations[1:-1]] != order
    assert sorted(s.name for s in shuffled.stations[1:-1]) == sorted(order)


@pytest.mark.parametrize("recipes", [2, 3])
def test_a_mix_uses_every_tank_and_lets_recipes_skip_some(recipes: int) -> None:
    for seed in range(5):
        line = random_mix("loose", 12, recipes, seed)
        routes = [[stage.station[0] for stage in recipe.stages] for recipe in line.recipes]
        assert len(routes) == recipes == len(line.load_set)
        assert {name for route in routes for name in route} == {
            station.name for station in line.stations[1:-1]
        }
        assert any(len(route) < 12 for route in routes)


# -- carried between processes ---------------------------------------------------------


@pytest.mark.parametrize(
    "case", [published(1), Case("open", 5), Case("loose", 5, recipes=2)], ids=lambda c: c.name
)
def test_a_problem_file_says_the_same(case: Case, tmp_path) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "line.toml"
    path.write_text(problem_to_toml(case.problem()), encoding="utf-8")
    assert load_problem(path) == case.problem()


def test_a_schedule_comes_back_as_it_was() -> None:
    schedule = answer(random_line("loose", 3, 0)).schedule
    assert schedule is not None
    assert schedule_from_json(schedule_to_json(schedule)) == schedule
