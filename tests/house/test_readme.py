"""What the two READMEs tell people to type works, and what they say about results is so."""

from __future__ import annotations

import doctest
import re
import shlex
import tomllib
from pathlib import Path

import pytest

from hoistopt import load_problem
from hoistopt.cli import main
from hoistopt.planning.best_degree import best_of_degrees
from tests.helpers.answers import answer
from tests.helpers.command import CAUTION

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
PROBLEMS = ROOT / "problems"
EXAMPLES = (PROBLEMS / "README.md").read_text(encoding="utf-8")
"""What the README leaves to the worked examples: it is read first, and they go on from it."""


def _blocks(language: str) -> list[str]:
    pattern = re.compile(rf"^```{language}\n(.*?)^```$", flags=re.MULTILINE | re.DOTALL)
    return [*pattern.findall(README), *pattern.findall(EXAMPLES)]


SET_UP = [block.strip() for block in _blocks("sh")]
COMMANDS = [line for block in _blocks("console") for line in block.splitlines()]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the problems in it, on a machine of one core: each core more has a thread
    that searches until the other ones have the proof."""
    monkeypatch.setattr("os.cpu_count", lambda: 1)
    (tmp_path / "problems").symlink_to(PROBLEMS)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_two_commands_of_one_line_come_before_the_picture() -> None:
    assert len(SET_UP) == 2
    assert all(command.count("\n") == 0 for command in SET_UP)
    assert all(command.startswith("python3 -m venv .venv && ") for command in SET_UP)
    assert README.index(SET_UP[0]) < README.index(SET_UP[1]) < README.index("![")


def test_the_first_command_solves_the_demo_and_draws_it(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    command = SET_UP[0].split(" && ")[-1]
    program, *arguments = shlex.split(command)
    assert program == ".venv/bin/hoistopt"
    assert main(arguments) == 0
    out = capsys.readouterr().out
    for part in ("Steps of one cycle", "Dwell times", "proved to be the least", CAUTION):
        assert part in out
    assert (folder / "diagram.png").read_bytes().startswith(b"\x89PNG")


def test_the_check_before_a_change_runs_the_second_command() -> None:
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    pattern = re.search(r"grep -E '(.*)' README\.md", script)
    assert pattern is not None
    assert re.findall(pattern[1], README, flags=re.MULTILINE) == [SET_UP[1]]
    assert script.rstrip().endswith('exec sh -c "$command"')


def test_every_command_shown_works_in_the_order_shown(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    # Searches end after a second without progress, not after half a minute: what is shown
    # has to work, and no proof is asked for.
    monkeypatch.setattr(best_of_degrees, "PATIENCE", 1.0)
    assert len(COMMANDS) > 30
    done: set[str] = set()
    for line in COMMANDS:
        program, *arguments = shlex.split(line)
        assert program == "hoistopt"
        if line in SET_UP[0] or line in done:
            continue  # the first command of all, tested above
        answer_is_no = arguments[0] == "conflict"  # that nothing keeps the wanted pace
        assert main(arguments) == (1 if answer_is_no else 0), line
        assert capsys.readouterr().err == "", line
        done.add(line)
    assert {"moves.csv", "moves.json", "line.svg", "line.pdf", "line.toml"} <= {
        path.name for path in folder.iterdir()
    }


def test_the_python_shown_gives_what_is_shown(folder: Path) -> None:
    shown = "\n".join(_blocks("python"))
    test = doctest.DocTestParser().get_doctest(shown, {}, "README", "README.md", 0)
    assert len(test.examples) >= 5
    assert doctest.DocTestRunner(verbose=False).run(test).failed == 0


def test_the_docstring_of_the_package_gives_what_it_says(
    folder: Path,
) -> None:
    import hoistopt

    assert hoistopt.__doc__ is not None
    test = doctest.DocTestParser().get_doctest(hoistopt.__doc__, {}, "hoistopt", None, 0)
    assert len(test.examples) >= 4
    assert doctest.DocTestRunner(verbose=False).run(test).failed == 0


def test_the_times_per_load_quoted_are_those_of_the_example() -> None:
    problem = load_problem(PROBLEMS / "hoist_limits.toml")
    quoted = re.findall(r"([\d.]+) s(?: a load)?\s+at degree\s+(\d)", README)
    assert [int(degree) for _, degree in quoted] == [1, 2, 3]
    for seconds, degree in quoted:
        assert answer(problem, int(degree)).time_per_load == pytest.approx(float(seconds), abs=0.05)


def test_every_example_is_named_and_every_name_exists() -> None:
    files = {path.stem for path in PROBLEMS.glob("*.toml")}
    table = EXAMPLES[EXAMPLES.index("| Feature |") : EXAMPLES.index("```console")]
    assert files - set(re.findall(r"`(\w+)`", table)) == set()
    for path in re.findall(r"problems/[\w/]+\.\w+|\.readme/\w+\.png", README + EXAMPLES):
        assert (ROOT / path).is_file()


def test_every_dependency_beyond_the_core_has_its_line() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    names = {re.split(r"[<>=\[; ]", text)[0] for text in wanted}
    core = {"ortools", "networkx", "pydantic", "rich", "pytest"}
    rows = re.findall(r"^\| ([\w-]+)(?: \([^)]*\))? \| (.+) \|$", README, flags=re.MULTILINE)
    assert core <= names
    assert {name for name, _ in rows} >= names - core
