"""One load at a time is a schedule of every line that nothing forbids it."""

from __future__ import annotations

import pytest

from hoistopt.base.errors import HoistoptError
from hoistopt.checker import verify
from hoistopt.instance import build_instance
from hoistopt.problem import Problem
from hoistopt.solver.cyclic.starts.one_by_one import one_by_one
from tests.reference.lines import FAMILIES


@pytest.mark.parametrize("family", FAMILIES)
def test_the_checker_accepts_it_on_lines_of_every_family(family: str) -> None:
    found = 0
    for seed in range(40):
        line = FAMILIES[family](seed)
        try:
            instance = build_instance(line.problem, line.degree)
        except HoistoptError:
            continue
        schedule = one_by_one(instance)
        if schedule is not None:
            found += 1
            assert verify(line.problem, schedule) == (), (family, seed)
    assert found >= 10


def _line(longest: float | None = None) -> Problem:
    cycle = {} if longest is None else {"max": longest}
    return Problem.from_data(
        {
            "name": "three tanks",
            "unit": "s",
            "hoist": {"lift": 5, "lower": 5, "loaded": {"speed": 1}, "empty": {"speed": 1}},
            "station": [
                {"name": "In", "kind": "load", "position": 0},
                *({"name": f"Tank {n}", "position": n} for n in (1, 2, 3)),
                {"name": "Out", "kind": "unload", "position": 4},
            ],
            "cycle": cycle,
            "recipe": [
                {
                    "name": "all",
                    "stage": [{"station": f"Tank {n}", "min": 10, "max": 10.5} for n in (1, 2, 3)],
                }
            ],
        }
    )


def test_its_cycle_time_is_the_sum_of_all_it_does() -> None:
    schedule = one_by_one(build_instance(_line(), 1))
    assert schedule is not None
    # Four moves of 5 + 1 + 5, three dwells of 10, and back along the track.
    assert schedule.cycle_time == 4 * 11 + 3 * 10 + 4


def test_a_limit_on_the_cycle_time_forbids_it() -> None:
    assert one_by_one(build_instance(_line(longest=77), 1)) is None
    assert one_by_one(build_instance(_line(longest=78), 1)) is not None
