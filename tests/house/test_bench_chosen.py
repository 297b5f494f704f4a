"""The bench of degrees chosen: its lines, and what it calls met."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from benchmarks.chosen.__main__ import cases, main
from benchmarks.chosen.report import Row, compared, report


@pytest.mark.quick
def test_every_line_has_a_group_of_tanks() -> None:
    suite = cases([10])
    assert {case.tanks for case in suite if case.family == "zinc"} == {2, 3, 4, 6, 8}
    for case in suite:
        stages = [stage for recipe in case.problem().recipes for stage in recipe.stages]
        assert any(len(set(stage.station)) > 1 for stage in stages)


def _row(degree: int, per_load: float | None) -> Row:
    status = "feasible" if per_load else "unknown"
    return Row("a line", degree, 20, 2, status, degree or 3, per_load, None, 20)


@pytest.mark.quick
def test_a_degree_that_is_much_better_when_given_is_no_target_met() -> None:
    good = [_row(0, 102.0), _row(1, 150.0), _row(3, 100.0), _row(6, None)]
    bad = [_row(0, 104.0), *good[1:]]
    none = [_row(0, None), *good[1:]]
    assert [each.met for rows in (good, bad, none) for each in compared(rows)] == [
        True, False, False,
    ]  # fmt: skip
    (line,) = compared(good)
    assert line.best is not None and line.best.degree == 3 and line.longer == pytest.approx(0.02)
    assert "| 1 of 1, the worst 2.0 % longer | yes |" in report(good, {})
    assert "| no |" in report(bad, {}) and "6: unknown" in report(none, {})


def test_a_line_of_two_tanks(tmp_path: Path) -> None:
    asked = ["--only", "zinc-2", "--seeds", "10", "--time-limit", "2", "--workers", "1"]
    assert main([*asked, "--out", str(tmp_path)]) == 0
    with (tmp_path / "runs.csv").open(encoding="utf-8", newline="") as stream:
        rows = {int(row["degree"]): row for row in csv.DictReader(stream)}
    assert set(rows) == {0, 1, 2, 3, 4} and rows[0]["per_load"]
    assert float(rows[0]["per_load"]) <= 1.03 * float(rows[1]["per_load"])
    assert "zinc-2-s10" in (tmp_path / "results.md").read_text(encoding="utf-8")


def test_what_is_not_there_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--only", "none such", "--out", str(tmp_path / "new")]) == 2
    assert "--only" in capsys.readouterr().err and not list(tmp_path.iterdir())
