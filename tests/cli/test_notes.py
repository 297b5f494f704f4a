"""What a problem file notes of its line, and the cautions: in every output of every command."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import pytest

from hoistopt.analysis.figures.cautions import STANDING
from tests.helpers.command import PROBLEMS, Run

pytestmark = pytest.mark.usefixtures("at_once")

NOTE = "Invented: no such line; 2 < 3, and [bold] too"
SCATTER = ("--scatter", "move times triangular 0.97 1 1.15")
COMMANDS: dict[str, tuple[str, ...]] = {
    "solve": ("line.toml",),
    "verify": ("line.toml", "moves.csv"),
    "slack": ("line.toml", "moves.csv"),
    "why": ("line.toml", "moves.csv"),
    "jitter": ("line.toml", "moves.csv", "--runs", "3", "--cycles", "5", *SCATTER),
    "order": ("line.toml", "moves.csv", "--alone"),
    "robust": ("line.toml", "--aims", "travel", "--workers", "1"),
    "tradeoff": ("line.toml", "--points", "2", "--upto", "2", "--workers", "1"),
    "study": ("line.toml", "--vary", "degree = 1", "--jobs", "1"),
    "compare": ("line.toml", "--before", "moves.csv", "--after", "moves.csv"),
    "levers": ("line.toml", "--time-limit", "20", "--workers", "1"),
    "conflict": ("line.toml", "--at-most", "200", "--workers", "1"),
    "fit": ("line.toml", str(PROBLEMS / "log" / "three_tanks_stopwatch.csv")),
    "adherence": ("line.toml", "moves.csv", str(PROBLEMS / "log" / "three_tanks_shift.csv")),
}
WITH_CSV = ("solve", "slack", "jitter", "order", "robust", "tradeoff", "study", "fit", "adherence")


solved: list[str] = []
"""Moves on the line with a note, once a test has solved it."""


@pytest.fixture
def noted(run: Run) -> Run:
    """The command line beside a line with a note, and moves on it."""
    text = Path("line.toml").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("note")]
    first = next(n for n, line in enumerate(lines) if line.startswith("name"))
    lines.insert(first + 1, f"note = {json.dumps(NOTE)}")
    Path("line.toml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    if not solved:
        assert run("solve", "line.toml", "--workers", "1", "--csv", "moves.csv")[0] == 0
        solved.append(Path("moves.csv").read_text(encoding="utf-8"))
    Path("moves.csv").write_text(solved[0], encoding="utf-8")
    return run


@pytest.mark.parametrize("command", COMMANDS)
def test_every_output_carries_the_note_and_the_cautions(noted: Run, command: str) -> None:
    files = ["--json", "out.json", *(["--csv", "out.csv"] if command in WITH_CSV else [])]
    code, out, err = noted(command, *COMMANDS[command], *files)
    assert code in (0, 1), err
    lines = [line for line in out.splitlines() if line.strip()]
    told = f"Note on the line: {NOTE}"
    assert lines[0] == told  # the header
    assert told in lines[-4:]  # the footer
    assert lines[-1] == STANDING
    data: dict[str, Any] = json.loads(Path("out.json").read_text(encoding="utf-8"))
    assert data["note"] == NOTE
    assert data["cautions"][-1] == STANDING
    if command in WITH_CSV:
        rows = list(csv.reader(Path("out.csv").read_text(encoding="utf-8").splitlines()))
        heads = [row[0] for row in rows if row[0].startswith("#")]
        assert f"# CAUTION. {STANDING}" in heads
        assert f"# NOTE. {NOTE}" in heads


def test_a_line_that_breaks_a_rule_is_noted_too(noted: Run) -> None:
    Path("moves.csv").write_text("# cycle_time = 90\nstart,from,to\n0,Bench,Wash\n")
    code, out, _ = noted("verify", "line.toml", "moves.csv", "--json", "out.json")
    assert code == 1
    assert out.startswith(f"Note on the line: {NOTE}")
    assert json.loads(Path("out.json").read_text())["note"] == NOTE


def test_moves_with_the_columns_of_old_are_read(noted: Run) -> None:
    """The table has had `loaded_travel`, `least_dwell` and `greatest_dwell`."""
    text = Path("moves.csv").read_text()
    assert "loaded_move_s" in text and "max_dwell_s" in text
    old = text.replace("loaded_move", "loaded_travel").replace("min_dwell", "least_dwell")
    Path("old.csv").write_text(old.replace("max_dwell", "greatest_dwell"))
    for table in ("moves.csv", "old.csv"):
        code, out, _ = noted("verify", "line.toml", table)
        assert code == 0 and "Clean: 5 moves" in out


def test_a_note_is_told_on_one_line(noted: Run) -> None:
    text = Path("line.toml").read_text(encoding="utf-8")
    spread = text.replace(json.dumps(NOTE), json.dumps("Invented:\nno such\tline."))
    Path("line.toml").write_text(spread, encoding="utf-8")
    code, out, _ = noted("slack", "line.toml", "moves.csv", "--csv", "out.csv")
    assert code == 0
    assert "Note on the line: Invented: no such line." in out.splitlines()
    assert '"# NOTE. Invented: no such line."' in Path("out.csv").read_text().splitlines()


def test_step_tables_carry_the_note_in_every_format(noted: Run) -> None:
    code, out, err = noted(
        "sequencer", "line.toml", "moves.csv", "a.csv", "a.json", "a.st", "a.xml"
    )
    assert code == 0, err
    assert f"Note on the line: {NOTE}" in out
    assert json.loads(Path("a.json").read_text())["note"] == NOTE
    assert f'"# NOTE. {NOTE}"' in Path("a.csv").read_text().splitlines()
    # Signs that a comment may not hold stand there as their codes.
    for name in ("a.st", "a.xml"):
        words = " ".join(Path(name).read_text().replace("*)\n(*", "").split())
        assert "NOTE. Invented: no such line; 2" in words
