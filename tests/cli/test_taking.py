"""Of a file with two schedules every command takes the one that was shown, or the one asked for."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import hoistopt
from tests.helpers.command import Run
from tests.helpers.shown.sheets import read_html

LEAST = 234


solved: list[str] = []
"""What `solve` wrote of both schedules, once a test has had it solve the line."""


@pytest.fixture
def both(run: Run) -> Run:
    """The command, beside a file whose schedule that can be run was shown."""
    if not solved:
        code, _, _ = run("solve", "line.toml", "--quiet", "--json", "m.json", "--show", "runnable")
        assert code == 0
        solved.append(Path("m.json").read_text(encoding="utf-8"))
    Path("m.json").write_text(solved[0], encoding="utf-8")
    return run


def _longer() -> float:
    found: float = json.loads(Path("m.json").read_text())["runnable"]["cycle_time"]
    assert found > LEAST
    return found


def test_python_reads_the_one_on_top(both: Run) -> None:
    problem = hoistopt.load_problem("line.toml")
    assert hoistopt.read_moves("m.json", problem).cycle_time == LEAST


@pytest.mark.parametrize("command", ["verify", "slack", "why"])
def test_the_one_shown_is_taken_and_told_of(both: Run, command: str) -> None:
    code, out, _ = both(command, "line.toml", "m.json", "--json", "out.json")
    assert code == 0
    assert json.loads(Path("out.json").read_text())["cycle_time"] == _longer()
    assert "Read from m.json: the schedule that can be run; --take least" in out


@pytest.mark.parametrize("command", ["verify", "slack"])
@pytest.mark.parametrize("take", ["least", "runnable"])
def test_the_one_asked_for_is_taken(both: Run, command: str, take: str) -> None:
    code, out, _ = both(command, "line.toml", "m.json", "--json", "out.json", "--take", take)
    assert code == 0
    wanted = LEAST if take == "least" else _longer()
    assert json.loads(Path("out.json").read_text())["cycle_time"] == wanted
    assert "Read from" not in out


def test_a_sequencer_gets_the_one_that_can_be_run(both: Run) -> None:
    assert both("sequencer", "line.toml", "m.json", "steps.json")[0] == 0
    assert json.loads(Path("steps.json").read_text())["cycle_time_ms"] == _longer() * 1000
    assert both("sequencer", "line.toml", "m.json", "steps.json", "--take", "least")[0] == 0
    assert json.loads(Path("steps.json").read_text())["cycle_time_ms"] == LEAST * 1000


def test_sheet_and_drawing_and_report_take_it_too(both: Run) -> None:
    assert both("sheet", "line.toml", "m.json", "door.html")[0] == 0
    text = read_html(Path("door.html").read_text(encoding="utf-8")).text
    assert f"Cycle time {_longer():g} s" in text
    assert "m.json (the one that can be run) " in text
    assert both("draw", "line.toml", "m.json", "a.svg")[0] == 0
    assert both("draw", "line.toml", "m.json", "b.svg", "--take", "least")[0] == 0
    assert Path("a.svg").read_bytes() != Path("b.svg").read_bytes()
    assert both("report", "line.toml", "m.json", "r.html")[0] == 0
    assert f"{_longer():g} s" in Path("r.html").read_text(encoding="utf-8")


def test_where_the_least_was_shown_the_least_is_taken(run: Run) -> None:
    assert run("solve", "line.toml", "--quiet", "--json", "m.json", "--show", "least")[0] == 0
    assert run("verify", "line.toml", "m.json", "--json", "out.json")[0] == 0
    assert json.loads(Path("out.json").read_text())["cycle_time"] == LEAST


@pytest.mark.parametrize(
    ("moves", "take", "parts"),
    [
        ("one.json", "runnable", ("one.json", "a schedule that can be run")),
        ("m.csv", "runnable", ("m.csv", "take = runnable")),
        ("m.json", "best", ("--take = best", "least, runnable")),
    ],
)
def test_a_choice_that_is_not_there_is_one_error(
    both: Run, moves: str, take: str, parts: tuple[str, ...]
) -> None:
    data = json.loads(Path("m.json").read_text())
    Path("one.json").write_text(json.dumps({key: data[key] for key in ("cycle_time", "moves")}))
    Path("m.csv").write_text("start,from,to,cycle_time\n0,Bench,Wash,234\n")
    code, out, err = both("verify", "line.toml", moves, "--take", take)
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    for part in parts:
        assert part in err


def test_a_search_starts_from_the_least_cycle_whatever_was_shown(both: Run) -> None:
    asked = ("line.toml", "m.json", "--workers", "1", "--time-limit", "5", "--json", "out.json")
    assert both("tradeoff", *asked, "--points", "2")[0] == 0
    assert json.loads(Path("out.json").read_text())["shortest_cycle_time"] == LEAST
