"""What every command writes: names, cautions, all of it or none."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path

import openpyxl
import pytest

from hoistopt.analysis.figures.cautions import STANDING
from tests.helpers.command import Run, put_moves
from tests.helpers.shown.csv_files import csv_split, csv_table
from tests.helpers.shown.workbooks import changed, raw_cells

pytestmark = pytest.mark.usefixtures("at_once")

SCATTER = "move times triangular 0.98 1 1.2"
WRITERS = {
    "solve": ["line.toml", "--workers", "1"],
    "verify": ["line.toml", "moves.csv"],
    "why": ["line.toml", "moves.csv"],
    "levers": ["line.toml", "--workers", "1"],
    "conflict": ["line.toml", "--workers", "1", "--at-most", "200"],
    "order": ["line.toml", "moves.csv", "--alone", "--workers", "1"],
    "slack": ["line.toml", "moves.csv"],
    "jitter": ["line.toml", "moves.csv", "--scatter", SCATTER, "--runs", "2", "--cycles", "3"],
    "robust": ["line.toml", "--workers", "1", "--aims", "travel"],
    "tradeoff": ["line.toml", "--workers", "1", "--points", "2"],
    "compare": ["line.toml", "--before", "moves.csv", "--after", "moves.csv"],
    "study": ["line.toml", "--vary", "hoist.empty.speed = 0.3, 0.4", "--jobs", "1"],
}


@pytest.fixture
def moves(run: Run) -> Run:
    put_moves("moves.csv")
    return run


def test_a_refusal_in_json_states_them_too(moves: Run) -> None:
    Path("moves.csv").write_text(Path("moves.csv").read_text().replace("234", "200"))
    for command in ("verify", "why", "slack"):
        assert moves(command, "line.toml", "moves.csv", "--json", "out.json")[0] == 1
        data = json.loads(Path("out.json").read_text())
        assert (data["status"], data["cautions"]) == ("refused", [STANDING])


@pytest.mark.parametrize("command", WRITERS)
def test_every_file_is_told_of_and_states_the_cautions_in_full(moves: Run, command: str) -> None:
    files = ["--json", "out.json", "--csv", "out.csv", "--workbook", "out.xlsx"]
    code, out, _ = moves(command, *WRITERS[command], *files)
    assert code == int(command == "conflict")
    for name in files[1::2]:
        assert out.count(f"Wrote {name}") == 1
    assert STANDING in " ".join(out.split())
    assert STANDING in json.loads(Path("out.json").read_text())["cautions"]
    rows = csv_table(Path("out.csv").read_text())
    assert rows
    book = openpyxl.load_workbook("out.xlsx")
    assert STANDING in [cell.value for cell in book["Cautions"]["A"]]
    # The main table is in both, figure for figure.
    first, *_, last = book.worksheets
    assert (first.title, last.title) == ("Answer", "Cautions")
    main = list(book.worksheets[1].values)
    assert [str(head).partition(" [")[0] for head in main[0]] == list(rows[0])
    assert [[_csv_cell(cell) for cell in row] for row in main[1:]] == [
        [_number_or_text(cell) for cell in row.values()] for row in rows
    ]
    assert {kind for kind, _ in raw_cells(Path("out.xlsx"))} <= {"n", "inlineStr"}


def _csv_cell(cell: object) -> object:
    return float(cell) if isinstance(cell, int | float) else cell


def _number_or_text(cell: str | None) -> object:
    try:
        return float(cell or "")
    except ValueError:
        return cell or None


def test_a_workbook_of_moves_is_read_back_and_one_of_findings_lists_them(moves: Run) -> None:
    assert moves("solve", "line.toml", "--workers", "1", "--workbook", "moves.xlsx")[0] == 0
    assert openpyxl.load_workbook("moves.xlsx").sheetnames == [
        "Answer", "Cycle", "Dwells", "Figures", "Degrees", "What can be run", "Cautions",
    ]  # fmt: skip
    assert "Clean" in moves("verify", "line.toml", "moves.xlsx")[1]
    changed(Path("moves.xlsx"), lambda book: book["Cycle"].__setitem__("B3", 5))
    files = ["--csv", "out.csv", "--workbook", "out.xlsx", "--json", "out.json"]
    code, out, _ = moves("verify", "line.toml", "moves.xlsx", *files)
    assert code == 1 and "Wrote out.xlsx" in out
    found = [row["rule"] for row in csv_table(Path("out.csv").read_text())]
    assert found == [one["rule"] for one in json.loads(Path("out.json").read_text())["violations"]]
    rules = openpyxl.load_workbook("out.xlsx")["Violations"]["F"]
    assert [cell.value for cell in rules] == ["rule", *found]
    # Who asks for something else than the findings gets no file that looks like it.
    assert moves("slack", "line.toml", "moves.xlsx", "--csv", "slack.csv")[0] == 1
    assert not Path("slack.csv").exists()


def test_a_workbook_is_no_text_and_needs_its_library(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    code, _, err = run("solve", "line.toml", "--workbook", "-")
    assert code == 2 and "the name of a file" in err and err.count("\n") == 1
    monkeypatch.setitem(sys.modules, "openpyxl", None)
    code, out, err = run("solve", "line.toml", "--workbook", "out.xlsx")
    assert (code, out) == (2, "") and "pip install 'hoistopt[workbook]'" in err
    assert not Path("out.xlsx").exists()


def test_a_schedule_without_time_to_spare_says_so_in_its_table(moves: Run) -> None:
    Path("line.toml").write_text(Path("line.toml").read_text().replace("max = 90", "max = 40"))
    assert moves("solve", "line.toml", "--workers", "1", "--csv", "tight.csv")[0] == 0
    told = json.loads(moves("verify", "line.toml", "tight.csv", "--json", "-")[1])["cautions"]
    notes, _ = csv_split(Path("tight.csv").read_text())
    notes = [note for note in notes if "CAUTION" in note]
    assert len(notes) == len(told) == 2
    assert "No margin: load 1 stays in Rinse" in notes[0]


def test_readers_take_tables_with_cautions_also_after_a_spreadsheet(moves: Run) -> None:
    text = Path("moves.csv").read_text()
    assert text.startswith('"# CAUTION. ')
    Path("again.csv").write_text(text.replace(",", ";").replace("\n", "\r\n"))
    for table in ("moves.csv", "again.csv"):
        assert moves("verify", "line.toml", table)[0] == 0
        assert moves("order", "line.toml", table, "--alone")[0] == 0
    Path("designs.csv").write_text('"# CAUTION. Of plans, not machines."\nhoist.empty.speed\n0.4\n')
    code, out, _ = moves("study", "line.toml", "--designs", "designs.csv", "--jobs", "1")
    assert code == 0
    assert "proved least" in out


def test_names_like_formulas_stay_apart_when_read_back(run: Run) -> None:
    text = Path("line.toml").read_text()
    Path("line.toml").write_text(text.replace('"Wash"', '"=1"').replace('"Rinse"', '"\'=1"'))
    assert run("solve", "line.toml", "--workers", "1", "--csv", "moves.csv")[0] == 0
    assert run("verify", "line.toml", "moves.csv")[0] == 0
    assert run("verify", "line.toml", "moves.csv", "--workbook", "moves.xlsx")[0] == 0
    assert run("verify", "line.toml", "moves.xlsx")[0] == 0


@pytest.mark.parametrize(
    ("option", "name"),
    [
        ("--csv", "out.xlsx"),
        ("--csv", "out.json"),
        ("--workbook", "out.csv"),
        ("--workbook", "out.xlsm"),
        ("--csv", "out.csv.bak"),
        ("--json", "out.csv"),
        ("--json", "out.yaml"),
        ("--diagram", "out.csv"),
    ],
)
def test_a_name_that_promises_something_else_is_refused(run: Run, option: str, name: str) -> None:
    code, out, err = run("solve", "line.toml", option, name)
    assert (code, out) == (2, "")
    assert err.startswith(f"error: {option}") or err.startswith(f"error: {name}: {option}")
    assert name in err and "ending in ." in err
    assert err.count("\n") == 1
    assert not Path(name).exists()


def test_a_name_without_an_ending_will_do(run: Run) -> None:
    assert (
        run("solve", "line.toml", "--workers", "1", "--csv", "moves", "--json", "OUT.JSON")[0] == 0
    )
    assert Path("moves").exists() and Path("OUT.JSON").exists()


def test_a_full_disk_at_the_last_file_leaves_none(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    Path("out.csv").write_text("older")
    written = []

    def fills_up(_: int) -> None:
        written.append(1)
        if len(written) == 3:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", fills_up)
    outputs = ["--json", "out.json", "--csv", "out.csv", "--diagram", "out.svg"]
    code, out, err = run("solve", "line.toml", "--workers", "1", *outputs)
    assert (code, out) == (2, "")
    assert "No space left on device" in err
    assert len(written) == 3
    assert sorted(path.name for path in Path().iterdir()) == ["line.toml", "out.csv"]
    assert Path("out.csv").read_text() == "older"
