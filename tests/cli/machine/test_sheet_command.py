"""`hoistopt sheet`: the printed table is the sequencer's, and the check sums are the files'."""

from __future__ import annotations

import hashlib
import json
import shutil
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

import hoistopt
from hoistopt.app.machine.sheet import sheet
from hoistopt.exports import sequencer_table
from tests.helpers.block.sequenced import crowded, returning, solved
from tests.helpers.command import CAUTION, PROBLEMS, Run, last_lines, put_moves
from tests.helpers.shown.sheets import read_html, steps_read


@pytest.fixture
def line(run: Run) -> Run:
    """The command, in a folder with a line and its moves."""
    put_moves("moves.json")
    return run


def test_both_files_and_what_they_say(line: Run) -> None:
    code, out, err = line(
        "sheet", "line.toml", "moves.json", "door.pdf", "door.html", "--revision", "Änderung 3"
    )
    assert (code, err) == (0, "")
    assert CAUTION in last_lines(out)
    assert "Wrote door.pdf" in out
    assert "Wrote door.html" in out
    assert Path("door.pdf").read_bytes().startswith(b"%PDF-")
    text = read_html(Path("door.html").read_text(encoding="utf-8")).text
    assert f"Revision Änderung 3, {date.today().isoformat()}" in text
    for name in ("line.toml", "moves.json"):
        digest = hashlib.sha256(Path(name).read_bytes()).hexdigest()
        assert f"{name} {digest[:4]} {digest[4:8]} {digest[8:12]} {digest[12:16]}" in text


@pytest.mark.parametrize("unit", ["ms", "0.1s", "s"])
@pytest.mark.parametrize("numbers", [(), ("--stations", "track", "--first", "11")])
def test_the_table_is_the_sequencers(line: Run, unit: str, numbers: tuple[str, ...]) -> None:
    options = ("--unit", unit, *numbers)
    assert line("sequencer", "line.toml", "moves.json", "steps.json", *options)[0] == 0
    assert line("sheet", "line.toml", "moves.json", "door.html", *options)[0] == 0
    exported = json.loads(Path("steps.json").read_text())
    (key,) = exported["units"]
    per = {"ms": 1000, "ds": 10, "s": 1}[key]
    names = {station["number"]: station["name"] for station in exported["stations"]}
    page = Path("door.html").read_text(encoding="utf-8")
    told = f"Check sum of the table in the controller (CheckSum): {exported['check_sum']}."
    assert told in read_html(page).text
    rows = steps_read(page)
    assert len(rows) == len(exported["steps"]) == 5
    for row, step in zip(rows, exported["steps"], strict=True):
        for title, field in (
            ("Start", "planned_start"), ("Latest", "latest_start"), ("Alarm", "alarm_limit"),
        ):  # fmt: skip
            value = step[f"{field}_{key}"]
            assert row[title] == "-" if value is None else Decimal(row[title]) * per == value
        for title, field in (("From", "pick_station"), ("To", "place_station")):
            assert row[title] == f"{step[field]}\N{NO-BREAK SPACE}{names[step[field]]}"
        assert int(row["Step"]) == step["step"]


def test_tables_beside_the_problem_file_have_a_check_sum_too(run: Run) -> None:
    for name in ("phillips_unger_1976.toml", "phillips_unger_1976_empty.csv"):
        shutil.copy(PROBLEMS / name, name)
    solve = ("solve", "phillips_unger_1976.toml", "--degree", "1", "--quiet")
    assert run(*solve, "--csv", "moves.csv")[0] == 0
    assert run("sheet", "phillips_unger_1976.toml", "moves.csv", "door.html")[0] == 0
    text = read_html(Path("door.html").read_text(encoding="utf-8")).text
    for name in ("phillips_unger_1976.toml", "phillips_unger_1976_empty.csv", "moves.csv"):
        assert f"{name} {hashlib.sha256(Path(name).read_bytes()).hexdigest()[:4]} " in text


@pytest.mark.parametrize("make", [crowded, returning])
def test_recipes_loads_and_returned_carriers(make: object) -> None:
    problem, schedule = solved(make)  # type: ignore[arg-type]
    found = sheet(problem, schedule, ("html",), unit="s")
    table = sequencer_table(problem, schedule, unit="s")
    assert found.pages == 1
    rows = steps_read(str(found.files[0]))
    assert ("Rec." in rows[0]) == (len(problem.recipes) > 1)
    assert [Decimal(row["Start"]) for row in rows] == [step.start for step in table.steps]
    assert found.sheet.loads == sum(step.stage == 0 for step in table.steps)


def test_without_revision_and_day_there_is_room_to_write(line: Run) -> None:
    problem = hoistopt.load_problem("line.toml")
    moves = hoistopt.read_moves("moves.json", problem)
    found = sheet(problem, moves, ("html",), unit="s")
    text = read_html(str(found.files[0])).text
    assert "Revision ____________" in text
    assert str(date.today().year) not in text
    assert "Times in s." in text


@pytest.mark.parametrize(
    ("arguments", "parts"),
    [
        (("door.txt",), ("door.txt", ".pdf or .html")),
        (("door.pdf", "door.pdf"), ("OUT 2", "place of its own")),
        (("moves.json.pdf", "--revision", "x" * 41), ("--revision", "40 printable")),
        (("nowhere/door.pdf",), ("nowhere",)),
        (("door.pdf", "--unit", "fortnight"), ("time unit",)),
        (("door.pdf", "--number", "Bench=1"), ("number for every station",)),
    ],
)
def test_bad_input_is_one_error_and_nothing_is_written(
    line: Run, arguments: tuple[str, ...], parts: tuple[str, ...]
) -> None:
    code, out, err = line("sheet", "line.toml", "moves.json", *arguments)
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    for part in parts:
        assert part in err
    assert not list(Path().glob("*.pdf"))


def test_refused_moves_are_not_printed(line: Run) -> None:
    moves = json.loads(Path("moves.json").read_text())
    moves["moves"][2]["start"] += 30
    Path("late.json").write_text(json.dumps(moves))
    code, out, _ = line("sheet", "line.toml", "late.json", "door.pdf", "door.html")
    assert code == 1
    assert "Refused" in out
    assert not Path("door.pdf").exists()
    assert not Path("door.html").exists()


def test_the_signals_told_of_are_outputs_of_the_function_block(line: Run) -> None:
    assert line("sequencer", "line.toml", "moves.json", "steps.st")[0] == 0
    assert line("sheet", "line.toml", "moves.json", "door.html")[0] == 0
    block = Path("steps.st").read_text(encoding="utf-8")
    outputs = block[block.index("VAR_OUTPUT") :]
    outputs = outputs[: outputs.index("END_VAR")]
    tables = read_html(Path("door.html").read_text(encoding="utf-8")).tables
    (rows,) = [table for name, table in tables if name == "alarms"]
    told = [row[0] for row in rows[1:]]
    assert told[-1] == "After a stop"
    assert {"Late", "Alarm", "Overstay", "Drift", "CarrierMissing"} <= set(told)
    for name in told[:-1]:
        assert f" {name} : " in outputs
