"""`hoistopt sequencer`: files, refusals, exit codes."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

import hoistopt
from hoistopt.app.verify import verify_programme
from hoistopt.cli import main
from hoistopt.exports import FORMATS
from tests.helpers.command import CAUTION, PROBLEMS, Run, last_lines, put_moves

OUTPUTS = ("out.csv", "out.json", "out.st", "out.xml")


@pytest.fixture
def line(run: Run, tmp_path: Path) -> Run:
    """The command, in a folder with a line, its moves, and moves that break a rule."""
    put_moves("moves.json")
    moves = json.loads(Path("moves.json").read_text())
    moves["moves"][2]["start"] += 30
    Path("late.json").write_text(json.dumps(moves))
    long = (
        Path("line.toml").read_text().replace('"Rinse"', '"Rinse with a name far too long to be"')
    )
    Path("long.toml").write_text(long)
    text = (
        Path("moves.json").read_text().replace('"Rinse"', '"Rinse with a name far too long to be"')
    )
    Path("long.json").write_text(text)
    Path("folder.csv").mkdir()
    return run


def test_all_formats_at_once(line: Run) -> None:
    code, out, err = line("sequencer", "line.toml", "moves.json", *OUTPUTS, "--unit", "s",
                          "--stations", "track", "--first", "1")  # fmt: skip
    assert (code, err) == (0, "")
    assert "4 of 5 starts moved, cycle time 234 becomes 235 s" in out
    assert CAUTION in last_lines(out)
    for name in OUTPUTS:
        assert f"Wrote {name}, read back and replayed" in out
        assert "CAUTION" in Path(name).read_text() or name == "out.json"
    data = json.loads(Path("out.json").read_text())
    assert data["cycle_time_s"] == 235
    assert data["stations"][0] == {"number": 1, "name": "Bench"}
    rows = list(csv.reader(Path("out.csv").read_text().splitlines()))
    starts = [row[11] for row in rows[-5:]]
    assert starts == [str(step["planned_start_s"]) for step in data["steps"]]
    assert "PlannedStart_ms := " in Path("out.st").read_text()


def test_nothing_is_said_of_rounding_where_there_is_none(line: Run) -> None:
    code, out, _ = line("sequencer", "line.toml", "moves.json", "out.csv", "--unit", "0.1s")
    assert code == 0
    assert "moved" not in out


def test_style_of_the_program(line: Run) -> None:
    code, _, _ = line("sequencer", "line.toml", "moves.json", "out.st", "--values", "routine",
                      "--block", "Line_2", "--tags", "numbers")  # fmt: skip
    text = Path("out.st").read_text()
    assert code == 0
    for part in (
        "FUNCTION_BLOCK Line_2_Sequencer",
        "At_3 : INT := 3",
        ".PlannedStart_ms := 20700;",
    ):
        assert part in text


def test_numbers_of_ones_own(line: Run) -> None:
    names = ["Bench", "Wash", "Rinse", "Passivate", "Dryer"]
    given = [part for n, name in enumerate(names) for part in ("--number", f"{name}={10 * n + 5}")]
    code, _, _ = line("sequencer", "line.toml", "moves.json", "out.json", *given)
    assert code == 0
    data = json.loads(Path("out.json").read_text())
    assert [entry["number"] for entry in data["stations"]] == [5, 15, 25, 35, 45]
    assert data["steps"][0]["place_station"] == 15


def test_moves_that_break_a_rule_are_listed_and_nothing_is_written(line: Run) -> None:
    before = sorted(Path().iterdir())
    code, out, err = line("sequencer", "line.toml", "late.json", *OUTPUTS)
    assert code == 1
    assert "Violations" in out
    assert "Refused" in out
    assert err == ""
    assert sorted(Path().iterdir()) == before


FILES = ("sequencer", "line.toml", "moves.json")
WRONG = {
    "no output": (FILES, "OUT"),
    "unknown format": ((*FILES, "out.csv", "out.exe"), "out.exe", ".xml (PLCopen XML)"),
    "no ending": ((*FILES, "out"), ".st (structured text)"),
    "missing folder": ((*FILES, "out.csv", "nowhere/out.st"), "nowhere/out.st"),
    "a folder": ((*FILES, "folder.csv"), "folder.csv"),
    "over the moves": ((*FILES, "moves.json"), "OUT 1", "read from"),
    "twice the same": ((*FILES, "out.csv", "./out.csv"), "OUT 2"),
    "unknown unit": ((*FILES, "out.csv", "--unit", "us"), "us", "min"),
    "unit too coarse": ((*FILES, "out.csv", "--unit", "min"), "min", "finer"),
    "unknown order": ((*FILES, "out.csv", "--stations", "size"), "size", "track"),
    "first below 0": ((*FILES, "out.csv", "--first", "-1"), "--first"),
    "first no number": ((*FILES, "out.csv", "--first", "x"), "--first = x"),
    "number without name": ((*FILES, "out.csv", "--number", "7"), "--number = 7"),
    "number no number": ((*FILES, "out.csv", "--number", "Wash=x"), "--number Wash = x"),
    "number twice": (
        (*FILES, "out.csv", "--number", "Wash=1", "--number", "Wash=2"),
        "--number = Wash=2",
    ),
    "not all numbered": ((*FILES, "out.csv", "--number", "Wash=1"), "Bench"),
    "unknown station": ((*FILES, "out.csv", "--number", "Bath=1"), "Bath"),
    "unknown values": ((*FILES, "out.csv", "--values", "file"), "values = file"),
    "no room": ((*FILES, "out.csv", "--room", "0"), "--room"),
    "too little room": ((*FILES, "out.st", "--room", "4"), "room = 4", "5 steps"),
    "unknown tags": ((*FILES, "out.csv", "--tags", "codes"), "tags = codes"),
    "no identifier": ((*FILES, "out.csv", "out.st", "--block", "1 (*"), "block = 1 (*"),
    "identifier too long": ((*FILES, "out.xml", "--block", "B" * 30), "at most 32"),
    "station name too long": (
        ("sequencer", "long.toml", "long.json", "out.csv", "out.st"),
        'station "Rinse with a name far too long to be"',
        "at most 32",
        "--tags numbers",
    ),
    "no moves": (("sequencer", "line.toml", "none.json", "out.csv"), "none.json"),
}


@pytest.mark.parametrize("case", WRONG)
def test_bad_input_is_one_clear_error_and_nothing_is_written(line: Run, case: str) -> None:
    arguments, *named = WRONG[case]
    before = {path: path.stat().st_mtime_ns for path in Path().iterdir()}
    code, out, err = line(*arguments)
    assert code == 2
    assert out == ""
    assert err.startswith("error: ")
    assert err.count("\n") == 1
    for part in named:
        assert part in err
    assert {path: path.stat().st_mtime_ns for path in Path().iterdir()} == before


def test_a_full_disk_leaves_nothing_behind(line: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    before = sorted(Path().iterdir())
    assert main([*FILES, "out.csv"]) == 2
    assert sorted(Path().iterdir()) == before


@pytest.mark.parametrize(
    "name", sorted(path.stem for path in PROBLEMS.glob("*.toml") if "phillips" not in path.stem)
)
def test_every_demonstration_line_can_be_handed_over(name: str, tmp_path: Path) -> None:
    problem = hoistopt.load_problem(PROBLEMS / f"{name}.toml")
    result = hoistopt.solve(problem, workers=1, time_limit=20)
    if result.schedule is None:
        pytest.skip("no schedule to hand over")
    table = hoistopt.sequencer_table(problem, result.schedule)
    for form in FORMATS:
        hoistopt.write_sequencer(problem, table, tmp_path / f"{name}.{form}")
    assert len(list(tmp_path.iterdir())) == len(FORMATS)


# -- programmes -----------------------------------------------------------------------------


@pytest.fixture
def programmes(run: Run) -> Run:
    problem = hoistopt.load_problem("line.toml")
    schedule = hoistopt.solve(problem, workers=1).schedule
    assert schedule is not None
    for name, runs_out in (("whole", True), ("filling", False)):
        programme = hoistopt.unroll(schedule, 2, run_out=runs_out)
        answer = verify_programme(problem, programme)
        Path(f"{name}.csv").write_text(answer.csv())
    run("solve", "line.toml", "--csv", "cycle.csv", "--quiet")
    return run


def test_a_programme_is_written_as_step_tables(programmes: Run) -> None:
    code, out, err = programmes("sequencer", "line.toml", "whole.csv", "out.csv", "out.json")
    assert (code, err) == (0, "")
    assert "A list of 10 steps, run once." in out and "read back and replayed" in out
    assert CAUTION in last_lines(out) and "very state" in last_lines(out)
    data = json.loads(Path("out.json").read_text())
    assert data["list_steps"] == len(data["steps"]) == 10 and data["cycle_time_ms"] is None


def test_a_list_and_the_cycle_after_it_are_written_for_the_block(programmes: Run) -> None:
    typed = ("--then", "cycle.csv", "--joins", "468")
    code, out, err = programmes("sequencer", "line.toml", "filling.csv", "o.st", "o.xml", *typed)
    assert (code, err) == (0, "")
    assert "the cycle of 5 steps begins at 468000 ms" in out
    assert "ListSteps := 6" in Path("o.st").read_text()


@pytest.mark.parametrize(
    ("typed", "code", "told"),
    [
        (("whole.csv", "o.st"), 2, "--then: expected a cycle that follows"),
        (("filling.csv", "o.st", "--then", "cycle.csv"), 2, "--joins: expected the time"),
        (("filling.csv", "o.st", "--joins", "468"), 2, "--joins = 468: expected the cycle"),
        (("filling.csv", "o.st", "--then", "cycle.csv", "--joins", "x"), 2, "--joins = x"),
        (("filling.csv", "o.st", "--then", "cycle.csv", "--joins", "9"), 2, "346.4"),
        (("filling.csv", "o.st", "--then", "no.csv", "--joins", "468"), 2, "no.csv"),
        (("filling.csv", "o.st", "--then", "cycle.csv", "--joins", "2000"), 1, ""),
        (("cycle.csv", "o.st", "--then", "cycle.csv", "--joins", "468"), 2, "--then"),
        (("whole.csv", "o.csv", "--state", "no.toml"), 2, "no.toml"),
        (("whole.csv", "o.csv", "--lost", "2"), 2, "--lost"),
        (("whole.csv", "o.csv", "--unit", "min"), 2, "finer"),
        (("filling.csv", "filling.csv"), 2, "OUT 1"),
    ],
)
def test_what_cannot_be_written_leaves_nothing(
    programmes: Run, typed: tuple[str, ...], code: int, told: str
) -> None:
    before = Path("filling.csv").read_text()
    found, _, err = programmes("sequencer", "line.toml", *typed)
    assert found == code and told in err and err.count("\n") <= 1
    assert not Path("o.st").exists() and not Path("o.csv").exists()
    assert Path("filling.csv").read_text() == before
