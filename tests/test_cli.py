"""The command from end to end: what it prints, what it writes, how it ends."""

from __future__ import annotations

import csv
import io
import json
import shutil
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from hoistopt import Result, Schedule, load_problem, planning
from hoistopt.checker.record import Replay, Violation
from hoistopt.cli import main
from hoistopt.problem.jsonschema import problem_schema
from hoistopt.problem.template import TEMPLATE

PROBLEMS = Path(__file__).parents[1] / "problems"
CAUTION = "not a safety function"

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run the command in a folder of its own: exit code, stdout, stderr."""
    monkeypatch.chdir(tmp_path)
    shutil.copy(PROBLEMS / "three_tanks_dryer.toml", "line.toml")

    def run(*arguments: str) -> tuple[int, str, str]:
        code = main(arguments)
        out, err = capsys.readouterr()
        assert "Traceback" not in out + err
        return code, out, err

    return run


def last_lines(text: str) -> str:
    return "\n".join(text.rstrip().splitlines()[-2:])


def infeasible_line() -> str:
    """The line with loads heavier than the hoist may lift."""
    text = Path("line.toml").read_text()
    assert "payload" not in text
    return text.replace("[hoist]", "[hoist]\npayload = 10").replace(
        'name = "Cases"', 'name = "Cases"\nmass = 11'
    )


# -- solve -------------------------------------------------------------------------


def test_solve_shows_the_tables_the_proof_and_the_caution(run: Run) -> None:
    code, out, err = run("solve", "line.toml", "--workers", "1")
    assert (code, err) == (0, "")
    for part in ("Steps of one cycle", "Dwell times", "Loads in process", "Passivate"):
        assert part in out
    assert "proved to be the least" in out
    assert CAUTION in last_lines(out)


def test_solve_agrees_with_the_published_optimum(run: Run) -> None:
    """521 s: Phillips and Unger (1976), AIIE Transactions 8(2), 219-225."""
    path = str(PROBLEMS / "phillips_unger_1976.toml")
    code, _, _ = run("solve", path, "--workers", "1", "--json", "out.json", "--quiet")
    data = json.loads(Path("out.json").read_text())
    assert (code, data["status"], data["cycle_time"]) == (0, "optimal", 521)
    assert data["lower_bound"] == 521


def test_files_of_a_solve_are_accepted_by_verify_and_draw(run: Run) -> None:
    outputs = ("--json", "out.json", "--csv", "out.csv", "--diagram", "out.svg")
    code, out, _ = run("solve", "line.toml", "--workers", "1", *outputs)
    assert code == 0
    assert Path("out.svg").read_text().lstrip().startswith("<?xml")
    for name in ("out.json", "out.csv", "out.svg"):
        assert f"Wrote {name}" in out
    for moves in ("out.json", "out.csv"):
        code, out, err = run("verify", "line.toml", moves, "--json", "verified.json")
        assert (code, err) == (0, "")
        assert "Clean" in out
        assert "Below max" in out
        assert CAUTION in last_lines(out)
        assert json.loads(Path("verified.json").read_text())["status"] == "verified"
    code, out, _ = run("draw", "line.toml", "out.csv", "drawn.png")
    assert code == 0
    assert Path("drawn.png").read_bytes().startswith(b"\x89PNG")
    assert CAUTION in last_lines(out)


def test_json_on_stdout_is_nothing_but_json(run: Run) -> None:
    code, out, err = run("solve", "line.toml", "--workers", "1", "--json", "-")
    assert code == 0
    assert json.loads(out)["status"] == "optimal"
    assert "proved to be the least" in err
    assert CAUTION in last_lines(err)


def test_csv_on_stdout_is_nothing_but_csv(run: Run) -> None:
    code, out, err = run("solve", "line.toml", "--workers", "1", "--csv", "-")
    assert code == 0
    rows = list(csv.DictReader(io.StringIO(out)))
    assert [row["from"] for row in rows].count("Bench") == 1
    assert CAUTION in last_lines(err)


def test_quiet_leaves_the_result_and_the_caution(run: Run) -> None:
    code, out, err = run("solve", "line.toml", "--workers", "1", "--quiet")
    assert (code, err) == (0, "")
    assert out.startswith("Cycle time ")
    assert len(out.splitlines()) <= 5
    assert CAUTION in last_lines(out)


def test_names_that_look_like_markup_are_printed_as_they_are(run: Run) -> None:
    text = Path("line.toml").read_text().replace('"Wash"', '"[red]Wash[/] :smile:"')
    Path("line.toml").write_text(text)
    code, out, _ = run("solve", "line.toml", "--workers", "1")
    assert code == 0
    assert "[red]Wash[/] :smile:" in out


def test_several_degrees_are_compared_by_mean_time_per_load(run: Run) -> None:
    """Invented line: at degree 2 both anodising tanks can be used, at degree 1 only one."""
    path = str(PROBLEMS / "quillhaven_anodising.toml")
    code, out, _ = run("solve", path, "--degree", "1-2", "--json", "out.json", "--quiet")
    assert code == 0
    assert "Degrees compared" in out
    data = json.loads(Path("out.json").read_text())
    assert data["degree"] == 2
    assert [other["degree"] for other in data["degrees"]] == [1, 2]
    first, second = (other["time_per_load"] for other in data["degrees"])
    assert second < 0.75 * first
    assert "at degree 2" in out


def test_a_line_without_a_schedule_answers_no_and_why(run: Run) -> None:
    Path("line.toml").write_text(infeasible_line())
    code, out, err = run("solve", "line.toml", "--json", "out.json", "--csv", "out.csv")
    assert (code, err) == (1, "")
    assert "No schedule of degree 1 exists" in out
    assert "payload" in out
    assert "Not written, as there is no schedule: out.csv" in out
    assert CAUTION in last_lines(out)
    data = json.loads(Path("out.json").read_text())
    assert (data["status"], data["moves"]) == ("infeasible", [])
    assert "payload" in data["reason"]
    assert not Path("out.csv").exists()


# -- solve, with answers that are hard to come by -------------------------------------


def answering(monkeypatch: pytest.MonkeyPatch, *results: Result | BaseException) -> list[int]:
    """Let the solver give these answers, one per degree asked for."""
    asked: list[int] = []

    def solve(problem: object, degree: int, *_: Any) -> Result:
        asked.append(degree)
        result = results[len(asked) - 1]
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
    answering(monkeypatch, true_result(), KeyboardInterrupt())
    code, out, _ = run("solve", "line.toml", "--degree", "1-3")
    assert code == 0
    assert "at degree 1, proved" in out


def test_a_search_stopped_by_hand_does_not_go_on_to_the_next_degree(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    stopped = replace(true_result(), status="feasible", lower_bound=200, runtime=2.0)
    asked = answering(monkeypatch, stopped, true_result())
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


def test_the_best_of_equals_is_the_lowest_degree(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    one = true_result()
    answering(monkeypatch, one, replace(one, degree=2))
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
    """The solver is made to answer with two carriers in one place; the checker is real."""
    true = true_result()
    assert true.schedule is not None
    steps = [replace(step, start=step.start * 9 // 10) for step in true.schedule]
    cycle = true.schedule.cycle * 9 // 10
    wrong = Schedule(cycle, true.schedule.ticks_per_unit, tuple(steps))
    answering(monkeypatch, replace(true, schedule=wrong))
    outputs = ("--json", "out.json", "--csv", "out.csv", "--diagram", "out.svg")
    code, out, err = run("solve", "line.toml", *outputs)
    assert (code, out) == (1, "")
    assert err.startswith("error: internal error: the checker refused the schedule\n")
    assert "Violations" in err
    assert sorted(path.name for path in Path().iterdir()) == ["line.toml"]


def test_a_refusal_inside_the_solver_is_told_as_such(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    answering(monkeypatch, planning.CheckFailed("the checker refused the schedule: too late"))
    code, out, err = run("solve", "line.toml", "--json", "out.json")
    assert (code, out) == (1, "")
    assert err == "error: internal error: the checker refused the schedule: too late\n"
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
    assert (code, out) == (1, "")
    assert err.startswith("error: internal error: ZeroDivisionError: oh")
    assert err.count("\n") == 1
    assert not Path("out.json").exists()


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


def test_draw_refuses_what_breaks_a_rule(run: Run) -> None:
    late_table()
    code, out, _ = run("draw", "line.toml", "late.csv", "out.png")
    assert code == 1
    assert "Passivate" in out
    assert not Path("out.png").exists()


def test_all_violations_are_listed(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    late_table()
    many = tuple(
        Violation("window", f"message {n}", "Wash", 1, n, Fraction(n)) for n in range(1, 201)
    )
    import hoistopt.checker

    monkeypatch.setattr(hoistopt.checker, "replay", lambda *_: Replay(Fraction(9), many))
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


def test_schema_prints_the_json_schema(run: Run) -> None:
    code, out, err = run("schema")
    assert (code, err) == (0, "")
    assert json.loads(out) == problem_schema()


def test_version_and_help_end_well(run: Run) -> None:
    code, out, _ = run("--version")
    assert code == 0
    assert out.startswith("hoistopt ")
    assert run("--help")[0] == 0
    for command in ("solve", "verify", "draw", "template", "schema"):
        code, out, _ = run(command, "--help")
        assert code == 0
        assert f"usage: hoistopt {command}" in out


def test_the_json_alone_lets_anyone_check_the_windows(run: Run) -> None:
    """Dwell from starts and loaded times, with none of our code; all times here are exact."""
    run("solve", "line.toml", "--workers", "1", "--json", "out.json")
    data = json.loads(Path("out.json").read_text())
    windows = {"Wash": (90, 150), "Passivate": (120, 140), "Rinse": (40, 90), "Dryer": (180, 420)}
    by_stage = {move["stage"]: move for move in data["moves"]}
    assert sorted(by_stage) == [0, 1, 2, 3, 4]
    for stage in range(1, 5):
        move, before = by_stage[stage], by_stage[stage - 1]
        assert before["to"] == move["from"]
        set_down = before["start"] + before["loaded"]
        dwell = round((move["start"] - set_down) % data["cycle_time"], 6)
        least, most = windows[move["from"]]
        assert least <= dwell <= most
        assert dwell == move["dwell"]
