"""`hoistopt report` from end to end: what it writes, what it refuses, how it ends."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest

from hoistopt.planning import cycle as planning
from hoistopt.planning.result import Result
from tests.helpers.command import CAUTION, Run, last_lines, put_moves
from tests.helpers.lines.grouped import grouped
from tests.helpers.shown.report_pages import rows, tree


def files() -> list[str]:
    return sorted(path.name for path in Path().iterdir())


def refused(run: Run, *arguments: str) -> str:
    """The one line of an error that ends with 2 and leaves no file behind."""
    before = files()
    code, out, err = run("report", *arguments)
    assert (code, out) == (2, "")
    assert err.startswith("error: ")
    assert err.count("\n") == 1
    assert files() == before
    return err


def test_a_line_is_solved_and_reported_on(run: Run) -> None:
    code, out, err = run("report", "line.toml", "out.html", "--degree", "2", "--workers", "1")
    assert (code, err) == (0, "")
    assert "Cycle time 468 s at degree 2, proved to be the least" in out
    assert "Wrote out.html" in out
    assert CAUTION in last_lines(out)
    page = tree(Path("out.html").read_text(encoding="utf-8"))
    assert "Proved least" in page.text
    assert len(rows(page.all("table", class_="steps")[0])) == 10
    assert files() == ["line.toml", "out.html"]


def test_a_table_of_moves_is_reported_on(run: Run) -> None:
    put_moves("moves.csv")
    code, out, _ = run("report", "line.toml", "moves.csv", "out.html")
    assert code == 0
    assert "Wrote out.html" in out
    text = tree(Path("out.html").read_text(encoding="utf-8")).text
    assert "234 s" in text
    assert "Whether a shorter cycle exists was not asked" in text


def test_the_best_of_several_degrees_is_reported_on(run: Run) -> None:
    code, out, _ = run("report", "line.toml", "out.html", "--degree", "1-2", "--workers", "1")
    assert code == 0
    assert "Cycle time 234 s at degree 1" in out


def test_a_schedule_the_checker_refuses_is_listed_and_not_reported_on(run: Run) -> None:
    put_moves("moves.csv")
    text = Path("moves.csv").read_text().replace("234", "200")
    Path("moves.csv").write_text(text)
    code, out, _ = run("report", "line.toml", "moves.csv", "out.html")
    assert code == 1
    assert "Violations" in out and "Refused: " in out
    assert CAUTION in last_lines(out)
    assert not Path("out.html").exists()


def test_a_refused_schedule_leaves_an_older_report_alone(run: Run) -> None:
    put_moves("moves.csv")
    Path("moves.csv").write_text(Path("moves.csv").read_text().replace("234", "200"))
    Path("out.html").write_text("older")
    assert run("report", "line.toml", "moves.csv", "out.html")[0] == 1
    assert Path("out.html").read_text() == "older"


def test_no_schedule_no_report(run: Run) -> None:
    Path("line.toml").write_text(Path("line.toml").read_text() + "\n[cycle]\nmax = 50\n")
    code, out, _ = run("report", "line.toml", "out.html", "--workers", "1")
    assert code == 1
    assert "No schedule of degree 1 exists" in out
    assert "Not written, as there is no schedule: out.html" in out
    assert not Path("out.html").exists()


@pytest.mark.parametrize("status", ["unknown", "interrupted"])
def test_stopped_before_any_schedule_ends_with_3(
    status: str, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def solve(*_: object, **__: object) -> Result:
        if status == "interrupted":
            raise KeyboardInterrupt
        return Result("unknown", None, 100, 1, 1, None, 60.0)

    monkeypatch.setattr(planning, "solve", solve)
    assert run("report", "line.toml", "out.html")[0] == 3
    assert not Path("out.html").exists()


def test_a_wrong_answer_of_the_solver_is_refused(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    from hoistopt import load_problem

    true = planning.solve(load_problem("line.toml"), workers=1)
    assert true.schedule is not None
    wrong = replace(true, schedule=replace(true.schedule, cycle=true.schedule.cycle - 300))
    monkeypatch.setattr(planning, "solve", lambda *_, **__: wrong)
    code, _, err = run("report", "line.toml", "out.html")
    assert code == 4
    assert "the checker refused the schedule" in err
    assert not Path("out.html").exists()


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["line.toml", "out.txt"], "OUT.html"),
        (["line.toml", "out"], "a file name ending in .html"),
        (["line.toml", "moves.csv"], "a file name ending in .html"),
        (["line.toml", "-"], "a file name ending in .html"),
        (["line.toml", ""], "a file name ending in .html"),
        (["line.toml", "nowhere/out.html"], "nowhere does not"),
        (["line.toml", "folder.html"], "this is a folder"),
        (["line.toml", "o\0ut.html"], "null"),
        (["nothing.toml", "out.html"], "there is none"),
        (["line.toml", "nothing.csv", "out.html"], "there is none"),
        (["line.toml", "line.html", "line.html"], "what it is read from"),
        (["line.toml", "out.html", "--degree", "0"], "--degree"),
        (["line.toml", "out.html", "--time-limit", "-1"], "--time-limit"),
        (["line.toml", "out.html", "--workers", "many"], "--workers"),
        (["line.toml", "out.html", "--seed", "x"], "--seed"),
        (["line.toml", "moves.csv", "out.html", "--degree", "2"], "--degree"),
        (["line.toml", "moves.csv", "out.html", "--time-limit", "5"], "--time-limit"),
        (["line.toml", "out.html", "--format", "pdf"], "--format"),
        (["line.toml"], "OUT.html"),
    ],
)
def test_bad_input_ends_with_2_and_one_error(run: Run, arguments: list[str], told: str) -> None:
    Path("folder.html").mkdir()
    Path("moves.csv").write_text("start,from,to,cycle_time\n0,Bench,Wash,234\n")
    Path("line.html").write_text("a table by a strange name")
    assert told in refused(run, *arguments)


def test_an_unwritable_folder_is_told_before_the_search(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[object] = []
    monkeypatch.setattr(planning, "solve", lambda *a, **_: asked.append(a))
    monkeypatch.setattr(os, "access", lambda *_: False)
    assert "can be written to" in refused(run, "line.toml", "out.html")
    assert not asked


def test_a_full_disk_leaves_nothing_behind(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    put_moves("moves.csv")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    assert "No space left on device" in refused(run, "line.toml", "moves.csv", "out.html")


def test_a_tank_typed_as_out_of_service_is_so_in_the_report(run: Run) -> None:
    grouped(3).save("group.toml")
    asked = ("group.toml", "out.html", "--degree", "1", "--workers", "1", "--out-of-service")
    assert run("report", *asked, "Plate 2")[0] == 0
    page = tree(Path("out.html").read_text(encoding="utf-8"))
    assert "out of service" in page.text
    (steps,) = page.all("table", class_="steps")
    assert "Plate 2" not in steps.text and "Plate" in steps.text
    Path("out.html").unlink()
    assert "--out-of-service = Plate 9" in refused(run, *asked, "Plate 9")
    put_moves("moves.csv")
    told = refused(run, "line.toml", "moves.csv", "out.html", "--out-of-service", "Wash")
    assert "--out-of-service = Wash: expected no such option where a table of moves" in told
