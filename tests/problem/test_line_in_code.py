"""Lines built in code: the same problem as from a file, by the same rules, and back to a file."""

from __future__ import annotations

import ast
import inspect
import pickle
import re
import tomllib
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import hoistopt.problem
from hoistopt import (
    Cycle,
    InputError,
    Problem,
    Recipe,
    Stage,
    Station,
    TableEntry,
    Times,
    load_problem,
)
from hoistopt.base.names import seen
from hoistopt.problem.part import Part
from hoistopt.problem.statement import Statement
from tests.helpers.answers import answer
from tests.helpers.lines.lines_in_code import demo, line, published

PROBLEMS = sorted((Path(__file__).parents[2] / "problems").glob("*.toml"))
PARTS = sorted({*Part.__subclasses__(), Problem} - {Statement}, key=lambda part: part.__name__)

# -- the same problem as from a file ---------------------------------------------


def test_the_demo_line_in_code_is_that_of_the_file_and_has_its_optimum() -> None:
    file = load_problem(PROBLEMS[0].with_name("quillhaven_anodising.toml"))
    assert demo() == file
    mine, of_file = answer(demo()), answer(file)
    assert mine.status == of_file.status == "optimal"
    assert mine.cycle_time == of_file.cycle_time


def test_the_published_line_in_code_has_the_published_optimum() -> None:
    """Phillips and Unger (1976), AIIE Transactions 8(2), 219-225: 521 s."""
    line = published()
    assert line == load_problem(PROBLEMS[0].with_name("phillips_unger_1976.toml"))
    assert answer(line).cycle_time == 521
    assert answer(line).status == "optimal"


@pytest.mark.parametrize("path", PROBLEMS, ids=lambda path: path.stem)
def test_what_a_part_shows_is_code_that_makes_it_again(path: Path) -> None:
    problem = load_problem(path)
    names = {part.__name__: part for part in PARTS}
    parts = [problem.hoist, problem.cycle, problem.carriers, problem.times]
    for part in (*parts, *problem.stations, *problem.recipes, *problem.crossings):
        assert eval(repr(part), {"__builtins__": {}}, names) == part
        assert str(part) == repr(part)


def test_a_problem_shows_itself_in_a_line() -> None:
    assert (
        repr(demo()) == "<Problem 'Quillhaven anodising line': 13 stations, 1 recipe, times in s>"
    )


def test_a_line_in_code_can_be_sent_to_another_process() -> None:
    assert pickle.loads(pickle.dumps(demo())) == demo()


# -- numbers ---------------------------------------------------------------------


@given(st.integers(0, 10**13))
def test_numbers_of_every_kind_mean_the_same_exact_decimal(millionths: int) -> None:
    number = Decimal(millionths).scaleb(-6)
    text = f"{number:f}"
    for same in (number, text, f" {text} ", float(text), Fraction(millionths, 10**6)):
        assert Station("A", position=same).position == number
    assert Station("A", position=np.float64(text)).position == number


def test_numbers_of_numpy_mean_what_they_print() -> None:
    station = Station("A", position=np.float32("0.1"), lift=np.int64(7), capacity=np.int64(3))
    assert (station.position, station.lift) == (Decimal("0.1"), Decimal(7))
    assert station.capacity == 3 and type(station.capacity) is int


def test_a_file_still_may_not_write_a_number_in_quotes() -> None:
    data = demo().to_data()
    data["station"][1]["position"] = "1.4"
    with pytest.raises(InputError, match=r'station 2 \("Degrease"\), position = "1.4".*a number'):
        Problem.from_data(data)


# -- what editors see ---------------------------------------------------------------


def _written_out(part: type[Part]) -> ast.arguments:
    """The arguments of the constructor that the source holds for editors."""
    tree = ast.parse(inspect.getsource(part))
    return next(
        node.args
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef) and node.name == "__init__"
    )


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.__name__)
def test_the_constructor_that_editors_see_is_the_one_that_runs(part: type[Part]) -> None:
    seen, signature = _written_out(part), inspect.signature(part)
    first = [argument.arg for argument in seen.args[1:]]
    assert first == list(part.FIRST)
    named = {argument.arg for argument in seen.kwonlyargs}
    only_in_files = {"loaded_file", "empty_file"} if part is Times else set()
    assert {*first, *named} == set(signature.parameters) - only_in_files
    scope = {**vars(hoistopt.problem), "__builtins__": {}}
    for argument, default in zip(seen.kwonlyargs, seen.kw_defaults, strict=True):
        runs = signature.parameters[argument.arg].default
        if default is None:
            assert runs is inspect.Parameter.empty
        else:
            assert eval(ast.unparse(default), scope) == runs


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.__name__)
def test_every_argument_is_explained_once(part: type[Part]) -> None:
    text = inspect.getdoc(part) or ""
    explained = re.findall(r"^(\w+(?:, \w+)*) : ", text, flags=re.MULTILINE)
    names = [name for names in explained for name in names.split(", ")]
    assert sorted(names) == sorted(part.model_fields)


# -- written to a file ---------------------------------------------------------------


@pytest.mark.parametrize("path", PROBLEMS, ids=lambda path: path.stem)
def test_a_problem_written_to_a_file_is_read_back_equal(path: Path, tmp_path: Path) -> None:
    problem = load_problem(path)
    problem.save(tmp_path / "line.toml")
    assert load_problem(tmp_path / "line.toml") == problem


def test_a_file_reads_as_people_write_it() -> None:
    text = demo().to_toml()
    for part in (
        'name = "Quillhaven anodising line"\n',
        "\n[hoist]\nlift = 9\n",
        "loaded = {speed = 0.5, acceleration = 0.3, settling = 2}\n",
        '\n[[station]]\nname = "Etch"\nposition = 3.2\nlift = 12\n',
        '\n[[recipe.stage]]\nstation = "Degrease"\nmin = 240\n',
        'station = ["Anodise A", "Anodise B"]\n',
    ):
        assert part in text


@given(
    st.text(min_size=1, max_size=80).filter(lambda text: seen(text) and text == text.strip()),
    st.integers(1, 10**13),
)
def test_any_name_and_any_number_survive_the_file(name: str, millionths: int) -> None:
    number = Decimal(millionths).scaleb(-6)
    stations = [
        Station(f"{name[:70]} in", kind="load", position=0),
        Station(f"{name[:70]} bath", position=number, lift=number),
        Station(f"{name[:70]} out", kind="unload", position=4),
    ]
    made = line(
        stations=stations,
        recipes=[Recipe(name, [Stage(stations[1].name, min=number)])],
        cycle=Cycle(mix={name: 2}),
        note=name,
    )
    read = tomllib.loads(made.to_toml(), parse_float=Decimal)
    assert Problem.from_data(read) == made


def test_a_file_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="folder that exists"):
        demo().save(tmp_path / "none" / "line.toml")
    assert list(tmp_path.iterdir()) == []


def test_table_entries_may_be_given_one_by_one_or_by_pair() -> None:
    pairs = Times(empty={("A", "B"): 3.5, ("B", "A"): "4"})
    assert pairs == Times(empty=[TableEntry("A", "B", 3.5), TableEntry("B", "A", 4)])
