"""Answers that are hard to come by: the solver is made to give them."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Literal

import pytest

from hoistopt import Effort, Result, Schedule, load_problem
from hoistopt.checker import Refused, Violation
from hoistopt.planning import cycle as planning
from tests.helpers.command import CAUTION, Run, last_lines

pytestmark = pytest.mark.quick

# -- solve, with answers that are hard to come by -------------------------------------


def answering(
    monkeypatch: pytest.MonkeyPatch, *results: Result | BaseException, stop: int = 0
) -> list[int]:
    """Let the solver give these answers, one per degree asked for.

    `stop` tells in which of them, counted from 1, it is stopped by hand.
    """
    asked: list[int] = []

    def solve(problem: object, degree: int, *, effort: Effort) -> Result:
        asked.append(degree)
        result = results[len(asked) - 1]
        if len(asked) == stop and effort.stop is not None:
            effort.stop.set()
        if isinstance(result, BaseException):
            raise result
        return result

    monkeypatch.setattr(planning, "solve", solve)
    return asked


def true_result() -> Result:
    return planning.solve(load_problem("line.toml"), workers=1)


def test_nothing_found_in_time_ends_with_3(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    answering(monkeypatch, Result("unknown", None, 150.5, 1, 1, None, 9.9))
    code, out, _ = run("solve", "line.toml", "--time-limit", "10", "--json", "out.json")
    assert code == 3
    assert "none can be below 150.5 s" in out
    assert CAUTION in last_lines(out)
    assert json.loads(Path("out.json").read_text())["status"] == "unknown"


def test_an_unproved_schedule_says_how_far_it_may_be_off(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = replace(true_result(), status="feasible", lower_bound=200)
    answering(monkeypatch, found)
    code, out, _ = run("solve", "line.toml", "--json", "out.json")
    assert code == 0
    assert "not proved to be the least: the bound is 200 s" in out
    gap = (found.cycle_time or 0) - 200
    assert f"{gap / (found.cycle_time or 1):.1%}" in out
    assert "Not proved to be the least" in json.loads(Path("out.json").read_text())["cautions"][0]


def test_ctrl_c_before_the_search_ends_with_3(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    answering(monkeypatch, KeyboardInterrupt())
    code, out, err = run("solve", "line.toml", "--json", "out.json")
    assert (code, out) == (3, "")
    assert err == "error: stopped before any schedule was found\n"
    assert not Path("out.json").exists()


def test_ctrl_c_in_a_later_degree_keeps_the_earlier_ones(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    unknown = Result("unknown", None, 100, 2, 2, None, 0.1)
    answering(monkeypatch, true_result(), unknown, true_result(), stop=2)
    code, out, _ = run("solve", "line.toml", "--degree", "1-3")
    assert code == 0
    assert "at degree 1, proved" in out


def test_a_search_stopped_by_hand_does_not_go_on_to_the_next_degree(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    stopped = replace(true_result(), status="feasible", lower_bound=200, runtime=2.0)
    asked = answering(monkeypatch, stopped, true_result(), stop=1)
    assert run("solve", "line.toml", "--degree", "1,2", "--time-limit", "60")[0] == 0
    assert asked == [1]


def test_a_search_out_of_time_goes_on_to_the_next_degree(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    late = Result("unknown", None, 100, 1, 1, None, 60.0)
    asked = answering(monkeypatch, late, replace(true_result(), degree=2))
    code, out, _ = run("solve", "line.toml", "--degree", "1,2", "--time-limit", "60")
    assert (code, asked) == (0, [1, 2])
    assert "none found in time" in out


@pytest.mark.parametrize(
    ("status", "compiling", "uncompiled", "told"),
    [
        ("feasible", 4.0, False, "(10.0 s of search, 4 s of them for compiling its loops, once"),
        ("feasible", 0.9, False, "(10.0 s of search)."),
        ("feasible", 4.0, True, "(10.0 s of search, without some of its loops, as there was"),
        ("optimal", 4.0, False, "(10.0 s of search)."),
    ],
)
def test_a_search_that_had_to_compile_says_so(
    run: Run,
    monkeypatch: pytest.MonkeyPatch,
    status: Literal["feasible", "optimal"],
    compiling: float,
    uncompiled: bool,
    told: str,
) -> None:
    one = replace(true_result(), status=status, runtime=10.0, compiling=compiling)
    answering(monkeypatch, replace(one, uncompiled=uncompiled))
    out = run("solve", "line.toml", "--degree", "1", "--json", "a.json")[1]
    assert told in " ".join(out.split())
    data = json.loads(Path("a.json").read_text())
    assert (data["compiling"], data["uncompiled"]) == (compiling, uncompiled)


def test_the_best_of_equals_is_the_lowest_degree(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    one = true_result()
    answering(monkeypatch, one, replace(one, degree=2, runtime=0.0))
    assert "at degree 1, proved" in run("solve", "line.toml", "--degree", "1,2")[1]


def test_all_degrees_without_a_schedule_answer_no(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    none = Result("infeasible", None, None, 1, 1, None, 0.1, reason="Because.")
    answering(monkeypatch, none, replace(none, degree=2))
    assert run("solve", "line.toml", "--degree", "1,2")[0] == 1
    answering(monkeypatch, none, replace(none, status="unknown", runtime=60.0))
    assert run("solve", "line.toml", "--degree", "1,2", "--time-limit", "60")[0] == 3


def test_a_schedule_the_checker_refuses_is_neither_shown_nor_written(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The solver is made to answer with everything a tenth too early; the checker is real."""
    true = true_result()
    assert true.schedule is not None
    steps = [replace(step, start=step.start * 9 // 10) for step in true.schedule]
    cycle = true.schedule.cycle * 9 // 10
    wrong = Schedule(cycle, true.schedule.ticks_per_unit, tuple(steps))
    answering(monkeypatch, replace(true, schedule=wrong))
    outputs = ("--json", "out.json", "--csv", "out.csv", "--diagram", "out.svg")
    code, out, err = run("solve", "line.toml", *outputs)
    assert (code, out) == (4, "")
    assert err.startswith("error: internal error: the checker refused the schedule: ")
    assert "dwell 84.4 s, min. 90 s (" in err
    assert err.count("\n") == 1
    assert sorted(path.name for path in Path().iterdir()) == ["line.toml"]


def test_a_refusal_inside_the_solver_is_told_as_such(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    true = true_result()
    assert true.replay is not None
    late = Violation("window", "too late", "Wash", 1, 1, Fraction(0))
    answering(monkeypatch, Refused(replace(true.replay, violations=(late,)), made_here=True))
    code, out, err = run("solve", "line.toml", "--json", "out.json")
    assert (code, out) == (4, "")
    assert err.startswith("error: internal error: the checker refused the schedule: too late ")
    assert "please report it" in err
    assert err.count("\n") == 1
    assert not Path("out.json").exists()


def test_a_cycle_of_too_many_moves_names_the_file(run: Run) -> None:
    mix = '\n[cycle]\nmix = { "Cases" = 100 }\n'
    Path("line.toml").write_text(Path("line.toml").read_text() + mix)
    code, out, err = run("solve", "line.toml", "--degree", "90")
    assert (code, out) == (2, "")
    assert err.startswith("error: line.toml: degree = 90")
    assert err.count("\n") == 1


def test_a_fault_of_ours_is_one_line_too(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    answering(monkeypatch, ZeroDivisionError("oh"))
    code, out, err = run("solve", "line.toml", "--json", "out.json")
    assert (code, out) == (4, "")
    assert err.startswith("error: internal error: ZeroDivisionError: oh")
    assert "please report it" in err
    assert err.count("\n") == 1
    assert not Path("out.json").exists()


@pytest.mark.parametrize("option", ["--json", "--csv", "--diagram"])
def test_outputs_are_looked_at_before_the_search(
    option: str, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = answering(monkeypatch, true_result())
    code, _, err = run("solve", "line.toml", option, "nowhere/out.svg")
    assert (code, asked) == (2, [])
    assert option in err
