"""Cycle time against loads out of window."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from hoistopt import InputError, jitter, load_problem, robust, solve, verify, window_curve

PROBLEMS = Path(__file__).parents[2] / "problems"


def test_the_curve_falls_and_ends_without_a_loss() -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    curve = window_curve(problem, points=6, workers=1, time_limit=6)
    assert 3 <= len(curve.points) <= 6
    assert curve.points[0].cycle_time == 234
    for before, after in pairwise(curve.points):
        assert before.cycle_time < after.cycle_time
        assert before.margin.out_of_window.share > after.margin.out_of_window.share
    for point in curve.points:
        assert verify(problem, point.schedule) == ()
        assert point.schedule.cycle <= curve.points[0].schedule.cycle * 1.1
    last = curve.points[-1]
    assert last.margin.out_of_window.out == 0
    # Fresh draws tell of the same shares.
    for point in curve.points:
        again = jitter(problem, point.schedule, point.margin.scatter.scatters, seed=99)
        assert again.any_stage.share == pytest.approx(point.margin.out_of_window.share, abs=0.1)


@pytest.mark.quick
def test_it_starts_from_what_is_known() -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    result = solve(problem, workers=1)
    curve = window_curve(problem, points=2, start=result, workers=1, time_limit=3)
    assert curve.shortest is result
    found = robust(problem, aims=["window"], start=result, workers=1, time_limit=3)
    assert found.shortest is result
    assert found.schedule is not None and verify(problem, found.schedule) == ()
    assert found.aims[0].name == "window" and found.aims[0].value == 0


@pytest.mark.quick
@pytest.mark.parametrize("points", [1, 101, 2.0, True])
def test_a_number_of_points_that_makes_no_sense(points: object) -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    with pytest.raises(InputError, match="points"):
        window_curve(problem, points=points)  # type: ignore[arg-type]
