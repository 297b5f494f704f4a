"""Python as people write it: every public name explains itself, and its example is true."""

from __future__ import annotations

import doctest
import inspect
import pydoc
import re
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import pytest

import hoistopt
from hoistopt import load_problem
from tests.helpers.answers import answer

pytestmark = pytest.mark.quick

PROBLEMS = Path(__file__).parents[2] / "problems"
PUBLIC: dict[str, Any] = {name: getattr(hoistopt, name) for name in hoistopt.__all__}
FUNCTIONS = sorted(name for name, value in PUBLIC.items() if inspect.isfunction(value))
CLASSES = sorted(name for name, value in PUBLIC.items() if inspect.isclass(value))
ERRORS = [name for name in CLASSES if issubclass(PUBLIC[name], Exception)]
# Made by functions, whose examples show them; all other classes are made by users.
ANSWERS = {
    "Comparison", "Conflict", "DegreeChoice", "Holding", "Jitter", "Levers", "Ordered",
    "MarginFigures", "Progress", "Replay", "Robust", "Runnable", "SequencerTable", "SlackLimits",
    "Study", "Tradeoff", "Violation", "WindowCurve",
}  # fmt: skip


def _sections(name: str) -> dict[str, str]:
    """The sections of a docstring by the numpydoc standard."""
    text = inspect.getdoc(PUBLIC[name]) or ""
    parts = re.split(r"^(\w+(?: \w+)*)\n-{3,}\n", text, flags=re.MULTILINE)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def _explained(text: str) -> set[str]:
    heads = re.findall(r"^(\w+(?:, \w+)*)(?: : .+)?$", text, flags=re.MULTILINE)
    return {name for head in heads for name in head.split(", ")}


def _examples(name: str) -> list[doctest.DocTest]:
    finder = doctest.DocTestFinder(recurse=False)
    return [
        test
        for test in finder.find(PUBLIC[name], name, module=False, globs={})  # type: ignore[arg-type]
        if test.examples
    ]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "problems").symlink_to(PROBLEMS)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_the_names_sorted_out_here_are_all_there_are() -> None:
    assert sorted(FUNCTIONS + CLASSES) == sorted(hoistopt.__all__)
    assert set(CLASSES) >= ANSWERS


@pytest.mark.parametrize("name", sorted({*FUNCTIONS, *CLASSES} - ANSWERS - set(ERRORS)))
def test_a_public_name_has_an_example_that_is_true(name: str, folder: Path) -> None:
    """Each example runs by itself: what it uses it imports, as a reader would."""
    examples = _examples(name)
    assert len(examples) == 1
    assert "hoistopt" in examples[0].examples[0].source or len(examples[0].examples) > 1
    assert doctest.DocTestRunner(verbose=False).run(examples[0]).failed == 0


def test_the_error_for_bad_input_has_an_example_that_is_true(folder: Path) -> None:
    (example,) = _examples("InputError")
    assert doctest.DocTestRunner(verbose=False).run(example).failed == 0


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_function_explains_every_parameter_in_order_of_the_standard(name: str) -> None:
    sections = _sections(name)
    wanted = set(inspect.signature(PUBLIC[name]).parameters)
    assert wanted - _explained(sections["Parameters"]) == set()
    standard = ["Parameters", "Returns", "Raises", "See Also", "Notes", "References", "Examples"]
    assert list(sections) == [part for part in standard if part in sections]


@pytest.mark.parametrize("name", sorted(set(CLASSES) - set(ERRORS)))
def test_a_class_with_data_explains_its_data(name: str) -> None:
    value = PUBLIC[name]
    if not is_dataclass(value):
        return
    sections = _sections(name)
    explained = _explained(sections.get("Attributes", "") + sections.get("Parameters", ""))
    public = {field.name for field in fields(value) if not field.name.startswith("_")}
    # The line, its unit and the run time mean the same everywhere.
    assert public - explained <= {"problem", "unit", "runtime", "degree", "replay", "schedule"}


def test_help_lists_every_public_name() -> None:
    text = pydoc.plain(pydoc.render_doc(hoistopt))
    for name in hoistopt.__all__:
        assert re.search(rf"\b{name}\b", text), name
    assert "not a safety function" in text


def test_objects_show_themselves_in_a_line() -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    result = answer(problem)
    assert repr(problem) == "<Problem 'Three tanks and a dryer': 5 stations, 1 recipe, times in s>"
    assert repr(result) == f"<Result: {result.summary()}>"
    assert repr(result.schedule) == f"<Schedule: 5 moves, cycle time {result.cycle_time}>"
    assert re.fullmatch(r"<Replay: clean in \d+ cycles of [\d.]+>", repr(result.replay))


def test_a_refused_schedule_shows_how_many_rules_it_breaks() -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    schedule = answer(problem).schedule
    assert schedule is not None
    short = hoistopt.Schedule(schedule.cycle // 2 * 3, schedule.ticks_per_unit, schedule.steps)
    seen = hoistopt.replay(problem, short)
    assert not seen.clean
    count = len(seen.violations)
    assert f"{count} rule{'s' * (count != 1)} broken" in repr(seen)
    first = seen.violations[0]
    assert repr(first) == f"<Violation of {first.rule!r}: {first.message}>"


def test_a_result_names_the_problem_it_answers() -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    assert answer(problem).problem is problem
    impossible = problem.to_data()
    impossible["cycle"] = {"max": 100}
    other = hoistopt.Problem.from_data(impossible)
    none = answer(other)
    assert none.status == "infeasible"
    assert none.problem is other
