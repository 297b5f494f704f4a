"""The commands besides solve: verify, draw, template, schema."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest

from hoistopt import load_problem
from hoistopt.checker.record import Violation
from hoistopt.problem import Problem
from hoistopt.problem.files.template import TEMPLATE, invented
from hoistopt.problem.jsonschema import problem_schema
from tests.helpers.command import CAUTION, Run, last_lines

pytestmark = pytest.mark.quick

# -- verify and draw -------------------------------------------------------------------


def late_table() -> None:
    """One load at a time, taken from the passivation too late."""
    most = load_problem("line.toml").recipes[0].stages[1].max
    assert most is not None
    rows = ["start,from,to,cycle_time"]
    names = ["Bench", "Wash", "Passivate", "Rinse", "Dryer", "Bench"]
    least = [0, 100, int(most) + 20, 60, 200]
    at = 0
    for number, (source, target) in enumerate(pairwise(names)):
        at += least[number]
        rows.append(f"{at},{source},{target},2000")
        at += 30
    Path("late.csv").write_text("\n".join(rows) + "\n")


def test_verify_names_the_broken_rule_with_its_figures(run: Run) -> None:
    late_table()
    code, out, err = run("verify", "line.toml", "late.csv", "--json", "out.json")
    assert (code, err) == (1, "")
    assert "Violations" in out
    assert "Passivate" in out
    assert "140" in out
    assert "Refused: " in out
    assert CAUTION in last_lines(out)
    data = json.loads(Path("out.json").read_text())
    assert data["status"] == "refused"
    assert {broken["rule"] for broken in data["violations"]} == {"window"}
    assert all(broken["found"] > 140 for broken in data["violations"])


def test_verify_replays_as_many_cycles_as_asked(run: Run) -> None:
    run("solve", "line.toml", "--workers", "1", "--csv", "out.csv")
    seen = []
    for cycles in ("12", "20"):
        code, out, _ = run("verify", "line.toml", "out.csv", "--cycles", cycles)
        assert code == 0
        seen.append(int(out.split(" replayed over ")[1].split()[0]))
    assert seen[1] - seen[0] == 8


def test_too_few_cycles_to_tell_are_no_clean_bill(run: Run) -> None:
    run("solve", "line.toml", "--workers", "1", "--csv", "out.csv")
    code, out, err = run("verify", "line.toml", "out.csv", "--cycles", "1")
    assert (code, out) == (2, "")
    assert err.startswith("error: --cycles = 1: expected more cycles")


def test_verify_with_json_on_stdout_prints_nothing_else_there(run: Run) -> None:
    late_table()
    code, out, err = run("verify", "line.toml", "late.csv", "--json", "-")
    assert code == 1
    assert json.loads(out)["status"] == "refused"
    assert CAUTION in last_lines(err)


def test_draw_stamps_what_breaks_a_rule_as_refused(run: Run) -> None:
    late_table()
    code, out, _ = run("draw", "line.toml", "late.csv", "out.svg")
    assert code == 1
    assert "Passivate" in out
    assert "Wrote out.svg" in out
    drawn = Path("out.svg").read_text()
    assert 'id="stamp"' in drawn and 'id="warning"' in drawn and 'id="fault"' in drawn


def test_all_violations_are_listed(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    late_table()
    many = tuple(
        Violation("window", f"message {n}", "Wash", 1, n, Fraction(n)) for n in range(1, 201)
    )
    import hoistopt.checker

    real = hoistopt.checker.replay
    monkeypatch.setattr(
        hoistopt.checker, "replay", lambda *given: replace(real(*given), violations=many)
    )
    code, out, _ = run("verify", "line.toml", "late.csv")
    assert code == 1
    assert all(f"message {n} " in out for n in range(1, 201))
    assert "Refused: 200 violations found." in out


# -- template, schema, version ---------------------------------------------------------


def test_template_writes_a_file_that_solves(run: Run) -> None:
    assert run("template", "new.toml")[0] == 0
    assert Path("new.toml").read_text() == TEMPLATE
    code, out, _ = run("solve", "new.toml", "--workers", "1")
    assert code == 0
    assert "proved to be the least" in out


def test_template_overwrites_only_when_told_to(run: Run) -> None:
    Path("mine.toml").write_text("mine")
    code, _, err = run("template", "mine.toml")
    assert code == 2
    assert "--force" in err
    assert Path("mine.toml").read_text() == "mine"
    assert run("template", "mine.toml", "--force")[0] == 0
    assert Path("mine.toml").read_text() == TEMPLATE


def test_template_goes_to_stdout_without_a_file(run: Run) -> None:
    assert run("template") == (0, TEMPLATE, "")


def test_template_writes_a_workbook_and_turns_one_into_the_other(run: Run) -> None:
    assert run("template", "new.xlsx")[0] == 0
    assert load_problem("new.xlsx") == invented()
    assert run("template", "mine.xlsx", "--from", "line.toml")[0] == 0
    assert run("template", "back.toml", "--from", "mine.xlsx")[0] == 0
    assert load_problem("back.toml") == load_problem("mine.xlsx") == load_problem("line.toml")
    assert tomllib.loads(run("template", "--from", "mine.xlsx")[1])["name"]
    for words, told in (
        (["new.xlsx"], "--force"),
        (["mine.xlsx", "--from", "mine.xlsx", "--force"], "a place of its own"),
        (["other.xlsm"], "ending in .xlsx"),
        (["other.toml", "--from", "none.xlsx"], "there is none"),
    ):
        code, out, err = run("template", *words)
        assert (code, out) == (2, "") and told in err and err.count("\n") == 1
    assert not Path("other.toml").exists() and not Path("other.xlsm").exists()


def test_schema_prints_the_json_schema(run: Run) -> None:
    code, out, err = run("schema")
    assert (code, err) == (0, "")
    assert json.loads(out) == problem_schema(Problem)


def test_help_of_solve_names_all_that_a_degree_may_be_and_where_json_has_what(run: Run) -> None:
    _, out, _ = run("solve", "--help")
    words = " ".join(out.split())
    assert "or best, the best of all that the line gives reason to try (default best)" in words
    assert "on top the least cycle, under `runnable` the one that can be run" in words


def test_version_and_help_end_well(run: Run) -> None:
    code, out, _ = run("--version")
    assert code == 0
    assert out.startswith("hoistopt ")
    assert run("--help")[0] == 0
    for command in ("solve", "verify", "draw", "template", "schema"):
        code, out, _ = run(command, "--help")
        assert code == 0
        assert f"usage: hoistopt {command}" in out
