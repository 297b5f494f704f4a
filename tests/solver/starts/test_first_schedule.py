"""A first schedule, found by placing moves: where there is one, and without CP-SAT's help."""

from __future__ import annotations

from collections import Counter

import pytest

from benchmarks.lines.families import random_line, random_mix
from hoistopt import verify
from hoistopt.base.clock import OutOfTime
from hoistopt.base.errors import InfeasibleError, InputError
from hoistopt.instance import build_instance
from hoistopt.problem import Problem
from hoistopt.solver import least_cycle
from hoistopt.solver.bounds import horizon
from hoistopt.solver.cyclic import search
from hoistopt.solver.cyclic.incumbent import Incumbent
from hoistopt.solver.cyclic.starts import first
from hoistopt.solver.model.build import lowest_cycle
from tests.helpers import usual
from tests.helpers.clocks import clock, over
from tests.reference.brute import least_cycle as brute_force
from tests.reference.lines import FAMILIES


def found_for(problem: Problem, degree: int = 1) -> Incumbent:
    instance = build_instance(problem, degree)
    incumbent = Incumbent(lowest_cycle(instance))
    first.find_first(instance, incumbent)
    return incumbent


@pytest.mark.parametrize("family", ["narrow", "loose", "very-loose", "open"])
@pytest.mark.parametrize("shuffled", [False, True])
@pytest.mark.parametrize("tanks", [5, 20, 40])
def test_large_lines_get_one_that_the_checker_accepts(
    family: str, shuffled: bool, tanks: int
) -> None:
    problem = random_line(family, tanks, 3, shuffled=shuffled)
    incumbent = found_for(problem)
    assert incumbent.schedule is not None
    assert verify(problem, incumbent.schedule) == ()
    assert incumbent.schedule.cycle <= horizon(build_instance(problem))


def test_mixes_and_higher_degrees_get_one_too() -> None:
    mix = random_mix("loose", 10, 3, 1)
    for problem, degree in ((mix, 1), (mix, 2), (random_line("loose", 12, 1), 3)):
        incumbent = found_for(problem, degree)
        assert incumbent.schedule is not None
        assert verify(problem, incumbent.schedule) == ()


@pytest.mark.parametrize("seeds", usual.first(20, range(9000, 9040)))
@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_small_lines_with_a_schedule_mostly_get_one(family: str, seeds: range) -> None:
    seen: Counter[str] = Counter()
    for seed in seeds:
        problem, degree = FAMILIES[family](seed)
        least = brute_force(problem, degree)
        try:
            incumbent = found_for(problem, degree)
        except (InfeasibleError, InputError):
            continue
        if least is None:
            assert incumbent.schedule is None
            continue
        seen["possible"] += 1
        if incumbent.schedule is not None:
            assert verify(problem, incumbent.schedule) == ()
            assert incumbent.schedule.cycle >= least
            seen["found"] += 1
    assert seen["found"] >= 0.6 * seen["possible"] > 4


def test_no_longer_cycle_than_allowed_is_given() -> None:
    problem = random_line("loose", 10, 1)
    least = least_cycle(build_instance(problem), clock(workers=1)).schedule
    assert least is not None
    data = problem.to_data()
    data["cycle"] = {"max": least.cycle + 5}
    incumbent = found_for(Problem.from_data(data))
    assert incumbent.schedule is None or incumbent.schedule.cycle <= least.cycle + 5


def test_the_search_starts_from_it_when_cp_sat_has_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "FIRST_WORK", 1e-6)
    monkeypatch.setattr(search, "SECOND_WORK", 1e-6)
    heard: list[int | None] = []
    found = least_cycle(
        build_instance(random_line("loose", 12, 2)),
        clock(workers=1),
        tell=lambda best, bound, elapsed: heard.append(best),
    )
    assert found.status == "optimal"
    assert found.schedule is not None
    numbers = [best for best in heard if best is not None]
    assert numbers[0] > found.schedule.cycle == numbers[-1]


def test_told_to_stop_it_finds_nothing() -> None:
    instance = build_instance(random_line("loose", 12, 2))
    incumbent = Incumbent(lowest_cycle(instance))
    with pytest.raises(OutOfTime):
        first.find_first(instance, incumbent, over())
    assert incumbent.schedule is None
