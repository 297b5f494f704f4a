"""`solve` shows the least cycle beside the shortest that can be run, and one option chooses."""

from __future__ import annotations

import csv
import json
import re
from fractions import Fraction
from pathlib import Path

import pytest

import hoistopt
from tests.helpers.command import PROBLEMS, Run
from tests.helpers.shown.csv_files import csv_split

STATED = '\n[scatter]\ntimes = "move times triangular 0.97 1 1.15"\nsource = "Invented."\n'


@pytest.fixture
def stated(run: Run) -> Run:
    """A line that states a scatter, under which its least cycle cannot be run."""
    with Path("line.toml").open("a", encoding="utf-8") as file:
        file.write(STATED)
    return run


def _solved(run: Run, *options: str) -> tuple[str, dict[str, object]]:
    code, out, err = run("solve", "line.toml", "--json", "a.json", "--csv", "a.csv", *options)
    assert (code, err) == (0, "")
    return out, json.loads(Path("a.json").read_text())


def _cycle_of_csv() -> Fraction:
    _, text = csv_split(Path("a.csv").read_text())
    return Fraction(next(csv.DictReader(text))["cycle_time"])


def test_the_least_stays_on_top_and_the_runnable_comes_beside_it(run: Run) -> None:
    _, data = _solved(run)
    plain = hoistopt.solve(hoistopt.load_problem("line.toml"))
    assert (data["status"], data["cycle_time"], data["lower_bound"]) == (
        plain.status, plain.cycle_time, plain.lower_bound,
    )  # fmt: skip
    other = data["runnable"]
    assert isinstance(other, dict)
    assert other["cycle_time"] > data["cycle_time"]  # type: ignore[operator]
    assert len(other["moves"]) == len(data["moves"])  # type: ignore[arg-type]


def test_what_is_said_of_both_is_what_the_simulation_gives(run: Run) -> None:
    _, data = _solved(run)
    problem = hoistopt.load_problem("line.toml")
    for part in (data, data["runnable"]):
        assert isinstance(part, dict)
        Path("part.json").write_text(json.dumps(part))
        moves = hoistopt.read_moves("part.json", problem)
        seen = hoistopt.replay(problem, moves)
        assert seen.clean
        told = part["margin"]
        limits = hoistopt.slack_limits(problem, moves, seen)
        assert limits.least_alone is not None
        assert told["tightest_slack"]["time"] == float(limits.time(limits.least_alone))
        assert told["tightest_float"]["time"] == float(limits.time(limits.least_for_good))
        # Other draws: the share may differ by what chance makes of it.
        ran = hoistopt.jitter(problem, moves, told["scatter"]["times"], seed=7)
        assert told["out_of_window"]["share"] == pytest.approx(ran.any_stage.share, abs=0.03)
        hour = 3600 / told["mean_cycle_time"] * (1 - told["out_of_window"]["share"])
        assert told["good_loads_per_hour"] == pytest.approx(hour, abs=0.001)
    assert data["runnable"]["met"]  # type: ignore[index]
    assert data["runnable"]["margin"]["out_of_window"]["out"] == 0  # type: ignore[index]


def test_without_a_scatter_the_least_is_shown_with_a_warning_and_the_cure(run: Run) -> None:
    out, data = _solved(run)
    assert data["shown"] == "least"
    assert _cycle_of_csv() == 234
    words = " ".join(out.split())
    assert "Planned without margin: " in words
    assert "(assumed, invented)" in words
    assert "type the same command with --show runnable" in words
    assert "Planned without margin: " in Path("a.csv").read_text()


def test_where_the_file_states_a_scatter_the_runnable_is_shown(stated: Run) -> None:
    out, data = _solved(stated)
    assert data["shown"] == "runnable"
    assert _cycle_of_csv() == Fraction(str(data["runnable"]["cycle_time"]))  # type: ignore[index]
    words = " ".join(out.split())
    assert "Cycle time 234 s at degree 1, proved to be the least" in words
    assert "Shortest cycle found that can be run: " in words
    assert "are those of the one that can be run, which in JSON stands under `runnable`" in words
    assert "as the problem file states" in words
    assert "Planned without margin" not in out + Path("a.csv").read_text()


def test_where_the_file_states_a_margin_too(run: Run) -> None:
    text = Path("line.toml").read_text()
    Path("line.toml").write_text(f"margin = 2\n{text}")
    assert _solved(run)[1]["shown"] == "runnable"


@pytest.mark.parametrize("show", ["least", "runnable"])
def test_one_option_chooses(stated: Run, show: str) -> None:
    out, data = _solved(stated, "--show", show, "--diagram", "a.svg")
    assert data["shown"] == show
    runnable = Fraction(str(data["runnable"]["cycle_time"]))  # type: ignore[index]
    wanted = runnable if show == "runnable" else Fraction(234)
    assert _cycle_of_csv() == wanted
    assert re.search(rf"Cycle time +{float(wanted):g} s", out)
    assert "What can be run" in out


def test_an_unknown_choice_is_one_error(run: Run) -> None:
    code, out, err = run("solve", "line.toml", "--show", "fastest")
    assert (code, out) == (2, "")
    assert "--show = fastest" in err
    assert "least, runnable" in err


def test_a_line_whose_least_cycle_can_be_run_says_so(run: Run) -> None:
    text = Path("line.toml").read_text()
    # Waits of the hoist, so that moves longer than planned make no other late.
    Path("line.toml").write_text(f"{text}\n[cycle]\nmin = 300\n")
    out, data = _solved(run)
    assert data["margin"]["keeps_pace"]  # type: ignore[index]
    assert "It can be run: 0 %" in " ".join(out.split())
    assert "Planned without margin" not in out
    assert data["runnable"]["cycle_time"] == data["cycle_time"]  # type: ignore[index]


def test_a_cycle_that_falls_behind_is_planned_without_margin(run: Run) -> None:
    Path("line.toml").write_text((PROBLEMS / "few_carriers.toml").read_text(encoding="utf-8"))
    out, data = _solved(run)
    told = data["margin"]
    assert isinstance(told, dict)
    assert told["out_of_window"]["out"] == 0
    assert told["mean_cycle_time"] > data["cycle_time"]  # type: ignore[operator]
    assert not told["keeps_pace"]
    words = " ".join(out.split())
    assert re.search(r"Planned without margin: 0 %.* s a cycle on average", words)
