"""What is given from Python is taken in any type that says it, and refused with what to give."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

import hoistopt
from hoistopt import Effort, InputError, load_problem, replay, solve, verify
from hoistopt.base.expected import whole_number
from tests.helpers.command import PROBLEMS


@pytest.mark.parametrize("value", [2, np.int64(2), np.uint8(2), np.array(2)])
def test_a_whole_number_may_be_of_any_type(value: Any) -> None:
    found = whole_number(value, 1, 2, field="degree")
    assert (found, type(found)) == (2, int)


@pytest.mark.parametrize("value", [0, 3, 2.0, True, "2", None, np.float64(2), float("nan"), [2]])
def test_what_is_no_whole_number_in_the_range_is_refused(value: Any) -> None:
    with pytest.raises(InputError, match="expected a whole number from 1 to 2"):
        whole_number(value, 1, 2, field="degree")


def test_numbers_of_numpy_give_the_same_schedule() -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    mine = Effort(time_limit=np.float64(60), workers=np.int64(1), seed=np.int64(0))
    found = solve(problem, degree=np.int64(2), effort=mine)  # type: ignore[arg-type]
    assert found.schedule == solve(problem, degree=2, workers=1).schedule


@pytest.mark.parametrize("field", ["degree", "workers", "seed", "time_limit"])
def test_a_text_that_looks_like_a_number_is_shown_as_a_text(field: str) -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    with pytest.raises(InputError, match=f'^{field} = "2": expected'):
        solve(problem, **{field: "2"})  # type: ignore[arg-type]


def test_what_is_no_problem_or_schedule_is_refused_with_a_way_out() -> None:
    file = PROBLEMS / "three_tanks_dryer.toml"
    problem = load_problem(file)
    for wrong in (str(file), None, file):
        with pytest.raises(InputError, match=r"problem = .*expected a Problem.*load_problem"):
            solve(wrong)  # type: ignore[arg-type]
    result = solve(problem)
    for check in (verify, replay):
        with pytest.raises(InputError, match=r"schedule = .*expected a Schedule.*`schedule`"):
            check(problem, result)  # type: ignore[operator]
        with pytest.raises(InputError, match=r"problem = .*expected a Problem"):
            check(None, result.schedule)  # type: ignore[operator]


def test_one_tank_out_of_service_may_be_a_name_alone() -> None:
    problem = hoistopt.load_problem(PROBLEMS / "parallel_tanks.toml")
    one = problem.with_out_of_service("Nickel 3")
    assert one.to_data() == problem.with_out_of_service(["Nickel 3"]).to_data()
