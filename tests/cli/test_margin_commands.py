"""A margin typed after `solve`; `robust` and `tradeoff` from moves that are known."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from hoistopt import load_problem, read_moves, slack_limits, verify
from tests.helpers.command import Run

pytestmark = pytest.mark.quick


def test_a_margin_typed_is_proved_and_kept(run: Run) -> None:
    code, out, _ = run(
        "solve", "line.toml", "--slack", "10", "--float", "4", "--workers", "1", "--quiet",
        "--csv", "moves.csv",
    )  # fmt: skip
    assert code == 0
    assert "proved to be the least" in out
    problem = load_problem("line.toml")
    schedule = read_moves("moves.csv", problem)
    limits = slack_limits(problem, schedule)
    assert limits.least_alone is not None
    assert limits.time(limits.least_alone) >= 10
    assert limits.time(limits.least_for_good) >= 4
    assert verify(problem.with_margin(slack=10, float=4), schedule) == ()
    # The shortest cycle with so much; a tick shorter leaves less.
    assert schedule.cycle_time == 246


@pytest.mark.parametrize(
    ("typed", "named"),
    [
        (("--margin", "-1"), "--margin"),
        (("--margin", "much"), "--margin = much"),
        (("--slack", "nan"), "--slack"),
        (("--float", "1e99"), "--float"),
        (("--margin", "500"), "margin of its own"),
    ],
)
def test_a_margin_that_makes_no_sense_is_one_error(
    run: Run, typed: tuple[str, str], named: str
) -> None:
    code, out, err = run("solve", "line.toml", *typed)
    assert (code, out) == (2, "")
    assert err.count("error:") == 1 and named in err


def test_a_margin_no_schedule_keeps_is_told_as_such(run: Run) -> None:
    text = Path("line.toml").read_text(encoding="utf-8")
    Path("line.toml").write_text(f"{text}\n[cycle]\nmax = 236\n", encoding="utf-8")
    code, out, _ = run("solve", "line.toml", "--float", "9", "--workers", "1")
    assert code == 1
    assert "The margin asked for cannot be kept" in " ".join(out.split())


@pytest.mark.parametrize("command", ["robust", "tradeoff"])
def test_moves_that_are_known_are_started_from(run: Run, command: str) -> None:
    assert run("solve", "line.toml", "--workers", "1", "--show", "least", "--csv", "m.csv")[0] == 0
    code, _, _ = run(command, "line.toml", "m.csv", "--workers", "1", "--json", "out.json")
    assert code == 0
    data = json.loads(Path("out.json").read_text())
    assert data["shortest_cycle_time"] == 234
    # Nobody has proved it here.
    assert data["status"] == "feasible"


def test_robust_aims_at_loads_out_of_window(run: Run) -> None:
    code, out, _ = run(
        "robust", "line.toml", "--aims", "window", "--workers", "1", "--time-limit", "3",
        "--json", "out.json",
    )  # fmt: skip
    assert code == 0
    data = json.loads(Path("out.json").read_text())
    assert data["aims"][0] == {"name": "window", "value": 0, "proven": False}
    assert 234 < data["cycle_time"] <= 245.7
    assert "out of window" in out


def test_the_aim_at_loads_out_of_window_stands_alone(run: Run) -> None:
    code, _, err = run("robust", "line.toml", "--aims", "window,slack")
    assert code == 2
    assert "window alone" in err
