"""The bench of what schedules forgive: its lines, and figures that are those of a replay."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

import hoistopt
from benchmarks import forgiving
from hoistopt.planning.forgiving import with_runnable
from hoistopt.show.schedule.runnable import good_loads_an_hour

RESULTS = Path(__file__).parents[2] / "benchmarks" / "results" / "forgiving"
EXAMPLES = {path.stem for path in forgiving.PROBLEMS.glob("*.toml")}


@pytest.mark.quick
def test_all_examples_and_twenty_random_lines_each_once() -> None:
    names = [name for name, _, _ in forgiving.lines()]
    assert len(names) == len(set(names)) == len(EXAMPLES) + 20
    assert set(names) >= EXAMPLES


def test_a_row_says_what_the_simulation_gives() -> None:
    problem = hoistopt.load_problem(forgiving.PROBLEMS / "three_tanks_dryer.toml")
    row = forgiving.measured("three", problem, 1, 10)
    result = with_runnable(hoistopt.solve(problem, 1))
    assert result.margin is not None
    assert (row.least, row.status) == (234, "optimal")
    assert row.out_least == pytest.approx(result.margin.out_of_window.share, abs=0.03)
    assert row.good_least == pytest.approx(good_loads_an_hour(problem, result.margin), abs=0.6)
    assert row.met
    assert row.out_runnable == 0
    assert row.runnable is not None and row.runnable > 234
    assert row.good_runnable is not None and row.good_runnable > (row.good_least or 0)
    text = forgiving.table([row], "a scatter", 10)
    assert f"| three | 1 | 234 | {100 * row.out_least:.2f} % |" in text
    assert "1 have a cycle found that can be run; 1 give more good loads" in text


@pytest.mark.quick
def test_the_results_kept_are_of_these_lines_and_say_on_what_machine() -> None:
    with (RESULTS / "runs.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert [row["line"] for row in rows] == [name for name, _, _ in forgiving.lines()]
    text = (RESULTS / "results.md").read_text(encoding="utf-8")
    assert "Machine: " in text and "ortools" in text
    for row in rows:
        assert f"| {row['line']} | {row['degree']} |" in text
