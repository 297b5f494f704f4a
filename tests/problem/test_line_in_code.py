"""Lines built in code: the same problem as from a file, by the same rules, and back to a file."""

from __future__ import annotations

import ast
import inspect
import pickle
import re
import tomllib
from collections.abc import Callable, Mapping
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import hoistopt.problem
from hoistopt import (
    Carriers,
    Crossing,
    Cycle,
    Hoist,
    InputError,
    Motion,
    Problem,
    Recipe,
    Scattering,
    Stage,
    Station,
    TableEntry,
    Times,
    load_problem,
)
from hoistopt.problem.part import Part
from hoistopt.problem.statement import Statement
from tests.helpers.answers import answer

PROBLEMS = sorted((Path(__file__).parents[2] / "problems").glob("*.toml"))
PARTS = sorted({*Part.__subclasses__(), Problem} - {Statement}, key=lambda part: part.__name__)


def demo() -> Problem:
    """The demo line of ``problems/quillhaven_anodising.toml``, its figures typed in again."""
    wet = {
        "Degrease": 1.4,
        "Rinse 1": 2.3,
        "Etch": 3.2,
        "Rinse 2": 4.1,
        "Desmut": 5,
        "Rinse 3": 5.9,
        "Anodise A": 7.1,
        "Anodise B": 8.4,
        "DI rinse": 9.5,
        "Seal": 10.5,
    }
    own: dict[str, dict[str, Any]] = {
        "Etch": {"lift": 12},
        "Anodise A": {"lower": 11},
        "Anodise B": {"lower": 11},
    }
    return Problem(
        "Quillhaven anodising line",
        note="Invented: neither Quillhaven Anodising nor its people, line or figures exist. "
        "Windows are common practice, no source.",
        source="Invented for this project.",
        hoist=Hoist(
            lift=9,
            lower=8,
            loaded=Motion(0.5, acceleration=0.3, settling=2),
            empty=Motion(0.8, acceleration=0.5, settling=0.5),
            payload=250,
        ),
        scatter=Scattering(
            "move times triangular 0.97 1 1.15", source="Invented for this project."
        ),
        carriers=Carriers(count=9, return_time=90),
        stations=[
            Station("Load", kind="load", position=0, min_occupation=60),
            *(Station(name, position=at, **own.get(name, {})) for name, at in wet.items()),
            Station("Dryer", kind="dryer", position=11.8, settling=3),
            Station("Unload", kind="unload", position=13, min_occupation=40),
        ],
        recipes=[
            Recipe(
                "Brackets, clear",
                mass=180,
                stages=[
                    Stage("Degrease", min=240, max=420, drip=5),
                    Stage("Rinse 1", min=30, max=120, drip=3),
                    Stage("Etch", min=75, max=95, drip=3),
                    Stage("Rinse 2", min=30, max=75, drip=3),
                    Stage("Desmut", min=60, max=150, drip=5),
                    Stage("Rinse 3", min=30, max=120, drip=3),
                    Stage(["Anodise A", "Anodise B"], min=720, max=780, drip=6, name="Anodise"),
                    Stage("DI rinse", min=40, max=120, drip=3, name="Rinse after anodising"),
                    Stage("Seal", min=300, max=360, drip=5),
                    Stage("DI rinse", min=20, max=60, drip=4, name="Rinse after sealing"),
                    Stage("Dryer", min=300, max=600),
                ],
            )
        ],
    )


def published() -> Problem:
    """Phillips and Unger (1976), the windows typed in again, the tables read from the file.

    The times are those of the file, whose source it names: 169 figures copied by hand into
    a test would be a second edition of them.
    """
    file = load_problem(PROBLEMS[0].with_name("phillips_unger_1976.toml"))
    windows = (
        (150, 200), (90, 120), (120, 180), (90, 125), (30, 40), (60, 120),
        (60, 120), (45, 75), (130, None), (120, None), (90, 120), (30, 60),
    )  # fmt: skip
    at = (11, 14, 16, 14, 19, 22, 24, 26, 29, 6, 8, 10)
    tanks = [f"Tank {number}" for number in range(1, 13)]
    return Problem(
        file.name,
        note=file.note,
        source=file.source,
        length_unit="s of travel",
        times=Times(loaded=file.loaded_times, empty=file.empty_times),
        stations=[
            Station("Load/unload", kind="load-unload", min_occupation=120, position=0),
            *(Station(tank, position=place) for tank, place in zip(tanks, at, strict=True)),
        ],
        recipes=[
            Recipe(
                "Part",
                [
                    Stage(tank, min=least, max=most)
                    for tank, (least, most) in zip(tanks, windows, strict=True)
                ],
            )
        ],
    )


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


# -- what is refused --------------------------------------------------------------


def line(**more: Any) -> Problem:
    """A small line, with some of its arguments replaced."""
    given: dict[str, Any] = {
        "hoist": Hoist(lift=5, lower=5, loaded=Motion(1), empty=Motion(1)),
        "stations": [
            Station("In", kind="load", position=0),
            Station("Bath", position=2),
            Station("Out", kind="unload", position=4),
        ],
        "recipes": [Recipe("A", [Stage("Bath", min=30, max=60)])],
    }
    return Problem("Line", **given | more)


WRONG: Mapping[str, tuple[Callable[[], object], str]] = {
    "misspelt argument": (
        lambda: Station("Rinse", positon=3),  # type: ignore[call-arg]
        'station "Rinse", positon: expected no such argument. Did you mean position?',
    ),
    "unknown argument": (
        lambda: Motion(1, colour="red"),  # type: ignore[call-arg]
        "motion, colour: expected no such argument. It takes speed, acceleration, settling.",
    ),
    "missing argument": (
        lambda: Stage("Rinse"),  # type: ignore[call-arg]
        'stage "Rinse", min: expected this argument to be given.',
    ),
    "text that is no number": (
        lambda: Station("Rinse", position="abc"),
        'station "Rinse", position = "abc": expected a number.',
    ),
    "no number at all": (
        lambda: Station("Rinse", position=[3]),  # type: ignore[arg-type]
        'station "Rinse", position: expected a number.',
    ),
    "not finite": (
        lambda: Stage("Rinse", min=float("nan")),
        'stage "Rinse", min = nan: expected a finite number.',
    ),
    "a third": (
        lambda: Stage("Rinse", min=Fraction(1, 3)),
        'stage "Rinse", min = 1/3: expected a number with at most 6 decimals.',
    ),
    "below nought": (
        lambda: Stage("Rinse", min=0, max=-1),
        'stage "Rinse", max = -1: expected a number of at least 0.',
    ),
    "no speed": (lambda: Motion(0), "motion, speed = 0: expected a number above 0."),
    "capacity": (
        lambda: Station("Rinse", capacity=0),
        'station "Rinse", capacity = 0: expected a whole number from 1 to 200, or "unlimited".',
    ),
    "kind": (
        lambda: Station("Rinse", kind="bath"),  # type: ignore[arg-type]
        "station \"Rinse\", kind = \"bath\": expected one of 'tank', 'dryer', 'load', 'unload', "
        "'load-unload' or 'park'.",
    ),
    "no stages": (
        lambda: Recipe("A", []),
        'recipe "A", stages: expected 1 or more of them.',
    ),
    "a name for a stage": (
        lambda: Recipe("A", ["Rinse"]),  # type: ignore[list-item]
        'recipe "A", stages 1 = "Rinse": expected a Stage.',
    ),
    "a number for a motion": (
        lambda: Hoist(loaded=3),  # type: ignore[arg-type]
        "hoist, loaded = 3: expected a Motion.",
    ),
    "a negative table entry": (
        lambda: Times(loaded={("A", "B"): -1}),
        'table entry "A" to "B", time = -1: expected a number of at least 0.',
    ),
    "a file name": (
        lambda: Times(loaded_file="a.csv"),  # type: ignore[call-arg]
        'times, loaded_file = "a.csv": expected no file name here: only load_problem reads '
        "tables from other files.",
    ),
    "carriers": (
        lambda: Carriers(count=True),
        "carriers, count = True: expected a whole number.",
    ),
    "mix": (
        lambda: Cycle(mix={"A": 0}),
        "cycle, mix, A = 0: expected a whole number of at least 1.",
    ),
    "crossing": (
        lambda: Crossing([], over=["B"]),
        "crossing, from_: expected 1 or more of them.",
    ),
    "no recipe": (
        lambda: Problem("A", stations=[Station("B"), Station("C")]),  # type: ignore[call-arg]
        "recipes: expected this argument to be given.",
    ),
    "a number for a station": (
        lambda: line(stations=[Station("A"), 3]),
        "stations 2 = 3: expected a Station.",
    ),
    "a plain table with an unknown key": (
        lambda: line(stations=[{"name": "A", "colour": "red"}, Station("B")]),
        'stations 1 ("A"), colour: expected no such argument.',
    ),
    "minimum above maximum": (
        lambda: line(recipes=[Recipe("A", [Stage("Bath", min=30, max=20)])]),
        'recipe "A", stage 1 ("Bath"), max = 20: expected at least min, which is 30. '
        "Raise max or lower min; leave max out for no maximum.",
    ),
    "a station there is not": (
        lambda: line(recipes=[Recipe("A", [Stage("Pool", min=30)])]),
        'recipe "A", stage 1 ("Pool"), station = Pool: expected the name of a station of this '
        "line. Known stations: In, Bath, Out.",
    ),
}


@pytest.mark.parametrize(("make", "told"), WRONG.values(), ids=WRONG)
def test_what_makes_no_sense_is_one_error_that_names_the_field(
    make: Callable[[], object], told: str
) -> None:
    with pytest.raises(InputError) as caught:
        make()
    assert str(caught.value) == told
    # No trace of the library underneath.
    assert caught.value.__suppress_context__ or caught.value.__context__ is None


def test_a_slip_in_calling_is_the_usual_type_error() -> None:
    with pytest.raises(TypeError, match="without a name: station"):
        Stage("Rinse", 20)  # type: ignore[misc]
    with pytest.raises(TypeError, match="several values for 'name'"):
        Station("Rinse", name="Rinse")  # type: ignore[misc]


def test_parts_do_not_change() -> None:
    with pytest.raises(ValueError, match="frozen"):
        Station("Rinse").position = Decimal(3)  # type: ignore[misc]


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
    st.text(min_size=1, max_size=80).filter(
        lambda text: text.isprintable() and text == text.strip()
    ),
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
