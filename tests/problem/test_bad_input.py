"""Wrong input of every kind: one clear line, exit code 2, nothing written, no traceback."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from hoistopt import InputError, load_problem
from hoistopt.cli import main
from hoistopt.problem import Problem
from tests.helpers.wrong.wrong_commands import COMMANDS, MOVE_TABLES, MOVES
from tests.helpers.wrong.wrong_problems import GOOD, PROBLEMS, edit


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("folder").mkdir()
    Path("good.toml").write_text(GOOD)
    Path("moves.csv").write_text(MOVES)
    Path("good.csv").write_text("from,In,Out\nIn,0,12\nOut,12,0\n")
    Path("ragged.csv").write_text("from,In,Bath\nIn,0,4\nBath,4\n")
    Path("stranger.csv").write_text("from,In,Elsewhere\nIn,0,4\n")
    Path("worded.csv").write_text("from,In,Bath\nIn,0,soon\n")
    Path("negative.csv").write_text("from,In,Bath\nIn,0,-4\n")
    Path("machine.st").write_text("PROGRAM Main END_PROGRAM")
    Path("machine.xml").write_text("<project></project>")
    Path("binary.toml").write_bytes(bytes(range(256)))
    return tmp_path


@pytest.fixture
def refused(folder: Path, capsys: pytest.CaptureFixture[str]) -> Callable[..., str]:
    """Run a command that must be refused; its one line of error comes back."""

    def run(*arguments: str) -> str:
        before = _everything(folder)
        code = main(arguments)
        out, err = capsys.readouterr()
        assert code == 2
        assert out == ""
        assert err.startswith("error: ")
        assert err.count("\n") == 1
        assert err.endswith("\n")
        assert err[:-1].isprintable()
        assert len(err) < 1300
        assert "Traceback" not in err
        assert _everything(folder) == before
        return err

    return run


def _everything(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def test_the_file_that_the_wrong_ones_are_made_from_is_right(folder: Path) -> None:
    assert load_problem("good.toml").name == "Line"


@pytest.mark.parametrize("wrong", PROBLEMS)
def test_wrong_problem_file(wrong: str, refused: Callable[..., str]) -> None:
    text, *named = PROBLEMS[wrong]
    Path("wrong.toml").write_text(text)
    line = refused("solve", "wrong.toml", "--json", "out.json", "--csv", "out.csv")
    if not any(".csv" in part or part == "folder" for part in named):
        assert "wrong.toml" in line
    for part in named:
        assert part in line


@pytest.mark.parametrize("wrong", COMMANDS)
def test_wrong_command(wrong: str, refused: Callable[..., str]) -> None:
    arguments, *named = COMMANDS[wrong]
    line = refused(*arguments)
    for part in named:
        assert part in line


@pytest.mark.parametrize("wrong", MOVE_TABLES)
def test_wrong_move_table(wrong: str, refused: Callable[..., str]) -> None:
    text, *named = MOVE_TABLES[wrong]
    Path("wrong.csv").write_text(text)
    line = refused("verify", "good.toml", "wrong.csv", "--json", "out.json")
    for part in ("wrong.csv", *named):
        assert part in line


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_folder_without_permission(refused: Callable[..., str], folder: Path) -> None:
    (folder / "folder").chmod(0o500)
    line = refused("solve", "good.toml", "--json", "folder/out.json")
    assert "folder/out.json" in line


def test_only_the_first_of_several_errors_is_told(refused: Callable[..., str]) -> None:
    text = edit("min = 30", "min = -30").replace("count = 4", "count = 0")
    Path("wrong.toml").write_text(text)
    line = refused("solve", "wrong.toml")
    assert ("count" in line) != ("min = -30" in line)


def test_a_name_that_is_no_utf8_is_named_in_escapes(folder: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "hoistopt", "solve", b"no\xffne.toml"],
        capture_output=True,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
        timeout=60,
    )
    assert done.returncode == 2
    assert done.stderr.startswith(rb"error: no\udcffne.toml")


def test_full_disk_on_standard_output_is_one_line(folder: Path) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("no /dev/full here")
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "hoistopt", "schema"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
            timeout=60,
        )
    assert done.returncode == 2
    assert done.stderr.startswith("error: standard output: ")
    assert done.stderr.count("\n") == 1


def test_from_data_refuses_a_number_too_long_to_write_out() -> None:
    with pytest.raises(InputError, match="thousands of digits"):
        Problem.from_data({"name": "L", "station": [{"name": "x", "position": 10**5000}]})
