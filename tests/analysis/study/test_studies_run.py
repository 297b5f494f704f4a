"""Running a study: same answers as one by one, and nothing lost when something breaks."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from hoistopt import InputError, solve, study, verify
from hoistopt.analysis.study.running import run_tasks
from hoistopt.analysis.study.task import answer_from, solve_task
from hoistopt.problem import Problem
from tests.helpers.studying import AtOnce, line, slow_square, square, square_or_die

VARIED = {"stage(Passivate).max": [130, 160], "degree": [1, 2]}


# -- answers ---------------------------------------------------------------------------


@pytest.mark.parametrize("make", [AtOnce, lambda: ThreadPoolExecutor(2)], ids=["one", "threads"])
def test_each_point_has_the_answer_it_would_have_alone(make: Callable[[], Executor]) -> None:
    heard = []
    with make() as executor:
        found = study(line(), VARIED, executor=executor, on_point=lambda *news: heard.append(news))
    assert found.complete and found.idle == ()
    for point in (found.reference, *found.points):
        alone = solve(point.design.problem, point.design.degree, workers=1)
        assert (point.status, point.cycle_time) == ("optimal", Fraction(str(alone.cycle_time)))
        assert point.answer.bound == point.cycle_time
        assert point.schedule == alone.schedule
        assert point.schedule is not None and verify(point.design.problem, point.schedule) == ()
    # The line as it is has a maximum of 140 s; so none of the four points is it.
    assert sorted(done for _, done, _ in heard) == [1, 2, 3, 4, 5]
    assert {total for _, _, total in heard} == {5}
    assert found.reference.design.problem == line()


def test_points_that_come_to_the_same_problem_are_solved_once() -> None:
    executor = AtOnce()
    found = study(line(), {"stage(Passivate).max": [140, 150]}, executor=executor)
    assert len(executor.submitted) == 2
    assert found.points[0].answer is found.reference.answer


def test_figures_of_a_point() -> None:
    found = study(line(), {"degree": [(1, 10), (2, 20)]}, executor=AtOnce())
    one, two = found.points
    # 234 s a cycle of one load, 468 s a cycle of two.
    assert (one.cycle_time, two.cycle_time) == (234, 468)
    assert one.time_per_load == two.time_per_load == 234
    assert one.throughput == two.throughput == one.best_possible == Fraction(3600, 234)
    assert found.gain(two) == 0
    assert found.best is one  # the cheaper of equals
    assert found.frontier() == (one,)
    assert found.frontier("degree") == (one,)


def test_loads_per_hour_count_the_unit() -> None:
    # The same figures read as minutes: sixty times slower.
    minutes = Problem.from_data(line().to_data() | {"unit": "min", "tick": Decimal("0.1")})
    (point,) = study(minutes, {"degree": [1]}, executor=AtOnce()).points
    assert (point.cycle_time, point.throughput) == (234, Fraction(60, 234))
    assert point.best_possible == point.throughput


def test_points_without_a_schedule_say_so() -> None:
    found = study(line(), {"cycle.max": [100, 234]}, executor=AtOnce())
    assert [point.status for point in found.points] == ["infeasible", "optimal"]
    none, some = found.points
    assert none.answer.reason and none.cycle_time is none.throughput is found.gain(none) is None
    assert found.best is some
    wide = Problem.from_data(line("quillhaven_anodising").to_data())
    hasty = study(wide, {"degree": [8]}, time_limit=0.001, executor=AtOnce())
    assert hasty.points[0].status == "unknown"
    assert hasty.best is None and hasty.frontier() == ()


def test_nothing_is_solved_when_any_point_is_wrong() -> None:
    executor = AtOnce()
    for wrong in ({"stage(Wash).max": [150, 1]}, {"degree": [1, 101]}, {}):
        with pytest.raises(InputError):
            study(line(), wrong, executor=executor)
    for more in ({"time_limit": 0}, {"jobs": 0}, {"seed": -1}, {"designs": [{"degree": 1}]}):
        with pytest.raises(InputError):
            study(line(), {"degree": [1]}, executor=executor, **more)  # type: ignore[arg-type]
    assert executor.submitted == []


class Tampering(AtOnce):
    """Answers with every move a tick or more too early."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        future = super().submit(fn, *args, **kwargs)
        for step in future.result()["schedule"]["steps"]:
            step[0] = max(0, step[0] - 200)
        return future


def test_a_schedule_the_checker_refuses_here_does_not_count() -> None:
    found = study(line(), {"degree": [1]}, executor=Tampering())
    (point,) = found.points
    assert (point.status, point.cycle_time) == ("failed", None)
    assert point.answer.reason is not None and "checker refused" in point.answer.reason
    given = solve_task(line().to_data(), 1, None, 0)
    assert answer_from(line(), given).status == "optimal"
    assert answer_from(line(), given | {"schedule": None}).status == "failed"


# -- what runs the points breaks -------------------------------------------------------


def outcomes(tasks: dict[Any, tuple[Any, ...]], function: Any, **more: Any) -> dict[Any, Any]:
    heard: dict[Any, Any] = {}

    def hear(key: Any, outcome: dict[str, Any]) -> None:
        assert key not in heard
        heard[key] = outcome

    given = {"executor": None, "workers": 2} | more
    assert run_tasks(function, tasks, given["executor"], given["workers"], hear)
    return heard


def test_points_run_in_processes_of_their_own() -> None:
    heard = outcomes({n: (n, 0.3) for n in range(4)}, slow_square)
    assert [heard[n]["square"] for n in range(4)] == [0, 1, 4, 9]
    pids = {outcome["pid"] for outcome in heard.values()}
    assert len(pids) == 2 and os.getpid() not in pids
    assert outcomes({}, square) == {}


def test_a_killed_worker_costs_no_answer(tmp_path: Path) -> None:
    tasks = {n: (n, str(tmp_path / "flag"), False) for n in range(6)}
    heard = outcomes(tasks, square_or_die)
    assert [heard[n].get("square") for n in range(6)] == [n * n for n in range(6)]


def test_a_point_that_kills_every_worker_is_given_up_alone(tmp_path: Path) -> None:
    (tmp_path / "flag").touch()
    tasks = {n: (n, str(tmp_path / "flag"), n == 1) for n in range(4)}
    heard = outcomes(tasks, square_or_die)
    assert [heard[n].get("square") for n in (0, 2, 3)] == [0, 4, 9]
    assert heard[1]["status"] == "failed" and "3 times" in heard[1]["reason"]


class Shaky(AtOnce):
    """Breaks down on every task but each third try of one."""

    def __init__(self, always: bool = False) -> None:
        super().__init__()
        self.always = always

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        tries = self.submitted.count(args)
        if self.always or tries < 2:
            self.submitted.append(args)
            future: Future[Any] = Future()
            future.set_exception(OSError("line cut"))
            return future
        return super().submit(fn, *args, **kwargs)


def test_an_executor_that_breaks_down_is_tried_again() -> None:
    executor = Shaky()
    heard = outcomes({n: (n,) for n in range(3)}, square, executor=executor)
    assert [heard[n]["square"] for n in range(3)] == [0, 1, 4]
    assert len(executor.submitted) == 9
    heard = outcomes({1: (1,)}, square, executor=Shaky(always=True))
    assert heard[1] == {
        "status": "failed", "reason": "what ran it broke down 3 times (OSError: line cut)",
    }  # fmt: skip


def test_an_executor_that_takes_nothing_loses_its_points_but_ends() -> None:
    executor = ThreadPoolExecutor(1)
    executor.shutdown()
    found = study(line(), {"degree": [1, 2]}, executor=executor)
    assert [point.status for point in found.points] == ["failed", "failed"]
    assert found.points[0].answer.reason is not None
    assert "shutdown" in found.points[0].answer.reason
