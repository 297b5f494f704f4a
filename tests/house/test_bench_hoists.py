"""The bench of several hoists: its lines, its baselines, and the report it writes."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from benchmarks.hoists.__main__ import main
from benchmarks.hoists.lines import cases
from benchmarks.hoists.report import Row, report
from tests.helpers.apart_here import answer_here


@pytest.mark.quick
def test_the_lines_are_those_that_targets_speak_of() -> None:
    suite = cases()
    assert len({case.name for case in suite}) == len(suite) == 30
    assert {case.seed for case in suite} == set(range(10, 20))
    assert {(c.tanks, c.hoists) for c in suite} >= {(12, 2), (20, 2), (20, 3), (30, 2), (40, 4)}
    for case in suite:
        problem = case.problem()
        assert len(problem.hoists) == case.hoists
        assert len(problem.stations) == case.tanks + 2


@pytest.mark.quick
def test_a_worse_cycle_and_a_wide_gap_are_no_target_met() -> None:
    suite = [case for case in cases(2) if case.tanks != 40]

    def rows(cycle: float, bound: float) -> list[Row]:
        return [
            Row(c.name, method, 60, 2, "optimal", value, bound, 1.0, 1.0, 0.0)
            for c in suite
            for method, value in (("hoistopt", cycle), ("zones", 100.0), ("stock", 95.0))
        ]

    good, bad = report(suite, rows(88, 85), {}), report(suite, rows(101, 50), {})
    assert good.count("| yes |") == 6 and "| no |" not in good
    assert "worse on 1 of 1 | no" in bad and "0 of 2 | no" in bad


def test_a_tiny_line_by_every_method(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("benchmarks.hoists.__main__.answer_of", answer_here)
    assert main(["--only", "smoke", "--out", str(tmp_path), "--workers", "1"]) == 0
    with (tmp_path / "runs.csv").open(encoding="utf-8", newline="") as stream:
        found = {row["method"]: row for row in csv.DictReader(stream)}
    assert found["hoistopt"]["status"] == found["stock"]["status"] == "optimal"
    assert found["hoistopt"]["cycle"] == found["stock"]["cycle"]
    assert float(found["zones"]["cycle"]) >= float(found["hoistopt"]["cycle"])
    assert "Targets" in (tmp_path / "results.md").read_text(encoding="utf-8")


def test_what_is_not_there_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--only", "none such", "--out", str(tmp_path)]) == 2
    assert main(["--methods", "luck", "--out", str(tmp_path)]) == 2
    err = capsys.readouterr().err
    assert "--only" in err and "--methods" in err and not list(tmp_path.iterdir())
