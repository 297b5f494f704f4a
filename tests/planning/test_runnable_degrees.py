"""What can be run at other degrees than that of the least cycle."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

import hoistopt
from hoistopt import Effort, Problem, Result, Schedule, load_problem, solve, verify
from hoistopt.base.clock import Clock
from hoistopt.instance import build_instance
from hoistopt.margin.figures import margin_figures
from hoistopt.margin.runnable import Runnable
from hoistopt.planning import runnable_degrees
from hoistopt.planning.forgiving import with_runnable
from hoistopt.planning.runnable_degrees import runnable_elsewhere
from hoistopt.solver.cyclic.starts import one_by_one
from tests.helpers.lines.grouped import grouped

PROBLEMS = Path(__file__).parents[2] / "problems"


def _runnable(result: Result, per_load: Fraction, *, met: bool = True) -> Runnable:
    """A schedule of a result, said to take so long for a load."""
    assert result.schedule is not None and result.replay is not None and result.problem is not None
    figures = margin_figures(result.problem, result.replay)
    cycle = per_load * result.loads_per_cycle
    share = replace(figures.out_of_window, out=0 if met else 1, loads=10)
    told = replace(figures, cycle_time=cycle, mean_cycle=float(cycle), out_of_window=share)
    units = result.schedule.ticks_per_unit
    schedule = replace(result.schedule, cycle=int(cycle * units))
    return Runnable(schedule, result.replay, told, f"degree {result.degree}")


@pytest.fixture(scope="module")
def results() -> list[Result]:
    """Degrees 1 to 3 of a line with three tanks for one stage."""
    return hoistopt.compare_degrees(grouped(3), [1, 2, 3], workers=1)


@pytest.mark.parametrize(
    ("own", "found", "degree", "tried"),
    [
        # By degree: what can be run there, as a multiple of the least mean time of degree 1.
        ((3, 9.0), {1: 2.0, 2: 3.0}, 1, [1, 2]),
        ((3, 9.0), {1: 3.0, 2: 2.0}, 2, [1, 2]),
        ((3, 9.0), {1: 9.5, 2: 9.5}, 3, [1, 2]),
        ((1, 2.0), {2: 1.5, 3: 1.4}, 3, [2, 3]),
        ((1, 2.0), {2: 1.99, 3: 1.985}, 1, [2, 3]),  # more moves for less than a hundredth
        ((3, 0.1), {}, 3, []),  # no longer than the least cycles of the others
    ],
)
def test_the_degree_of_least_time_per_load_is_taken(
    own: tuple[int, float],
    found: dict[int, float],
    degree: int,
    tried: list[int],
    results: list[Result],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    one = results[0]
    assert one.cycle_time is not None
    unit = Fraction(str(one.cycle_time))
    asked: list[int] = []

    def find(problem: Problem, least: Schedule, seen: Any, clock: Clock, *, degree: int) -> Any:
        asked.append(degree)
        return _runnable(results[degree - 1], Fraction(str(found[degree])) * unit)

    monkeypatch.setattr(runnable_degrees, "find_runnable", find)
    at = results[own[0] - 1]
    given = replace(at, runnable=_runnable(at, Fraction(str(own[1])) * unit))
    assert given.problem is not None
    answer = runnable_elsewhere(given.problem, given, results, Clock())
    assert asked == tried
    assert answer.runnable is not None
    assert answer.runnable.found == f"degree {degree}"
    assert answer.schedule == given.schedule or answer.degree == degree


def test_one_that_can_be_run_is_better_than_a_shorter_one_that_cannot(
    results: list[Result], monkeypatch: pytest.MonkeyPatch
) -> None:
    one, two, _ = results
    unit = Fraction(str(one.cycle_time))

    def find(problem: Problem, least: Schedule, *_: Any, degree: int) -> Runnable:
        return _runnable(results[degree - 1], 5 * unit, met=degree == 1)

    monkeypatch.setattr(runnable_degrees, "find_runnable", find)
    given = replace(two, runnable=_runnable(two, 2 * unit, met=False))
    assert given.problem is not None
    answer = runnable_elsewhere(given.problem, given, results, Clock())
    assert answer.runnable is not None and answer.runnable.found == "degree 1"


def test_what_can_be_run_and_is_shorter_becomes_the_best() -> None:
    """Where the search was cut off: what is told as shortest found is not longer than it."""
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    best = solve(problem, workers=1)
    assert best.schedule is not None
    slow = one_by_one(build_instance(problem))
    assert slow is not None
    seen = hoistopt.replay(problem, slow)
    assert seen.clean, seen.violations
    cut_off = replace(
        best, status="feasible", cycle_time=slow.cycle_time, lower_bound=200, schedule=slow,
        replay=seen,
    )  # fmt: skip
    found = with_runnable(cut_off, Effort(5, 1))
    assert found.runnable is not None
    assert found.cycle_time == found.runnable.cycle_time < slow.cycle_time
    assert (found.status, found.lower_bound) == ("feasible", 200)
    assert found.schedule == found.runnable.schedule and found.margin == found.runnable.margin
    assert verify(problem, found.schedule) == ()
