"""What a study varies: keys and values as typed, and the problems they lead to."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from hoistopt import InputError, load_problem
from hoistopt.analysis.study import read_parameter
from hoistopt.analysis.study.design import grid
from hoistopt.analysis.study.parameter import parameters_of
from hoistopt.problem import Problem
from tests.helpers.studying import PROBLEMS, line

pytestmark = pytest.mark.quick

# -- as typed --------------------------------------------------------------------------

TYPED: dict[str, tuple[str, list[object]]] = {
    "hoist.empty.speed=0.3,0.4": ("hoist.empty.speed", [Decimal("0.3"), Decimal("0.4")]),
    " stage( Rinse ).max = 60..120..20 ": ("stage(Rinse).max", [60, 80, 100, 120]),
    "degree=1..3": ("degree", [1, 2, 3]),
    "cycle.min = 0.5..1.7..0.5": ("cycle.min", [Decimal("0.5"), Decimal(1), Decimal("1.5")]),
    'stage("Rinse (1), cold").min = 5': ('stage("Rinse (1), cold").min', [5]),
    "hoist.empty.speed + hoist.loaded.speed=1": ("hoist.empty.speed + hoist.loaded.speed", [1]),
    "stage(A).max = none, 90": ("stage(A).max", [None, 90]),
    "mix = 1:1, 2:1": ("mix", ["1:1", "2:1"]),
    "carriers.return = outside, hoist": ("carriers.return", ["outside", "hoist"]),
    "parallel(Dryer, 12.5, 13.5) = 1..3": ("parallel(Dryer, 12.5, 13.5)", [1, 2, 3]),
    "stage(A=B+C).min=-1..1": ("stage(A=B+C).min", [-1, 0, 1]),
}


@pytest.mark.parametrize("text", TYPED)
def test_keys_and_values_are_read_as_typed(text: str) -> None:
    found = read_parameter(text)
    assert (found.name, [level.value for level in found.levels]) == TYPED[text]
    again = read_parameter(f"{found.name} = 1")
    assert again.paths == found.paths


def test_a_cost_may_follow_each_value() -> None:
    found = read_parameter("parallel(Dryer) = 1@0, 2@45000.5")
    assert [level.cost for level in found.levels] == [0, Decimal("45000.5")]
    assert found.priced and not read_parameter("degree = 1, 2").priced


WRONG = {
    "": "key of the problem file",
    "=1": "key of the problem file",
    "degree": '"="',
    "degree 1": '"="',
    "degree=": "value",
    "degree=1,,2": "value",
    "degree=1,1": "each value once",
    "degree=3..1": "rises",
    "degree=1..9..0": "rises",
    "degree=1..2..3..4": "rises",
    "cycle.min=0..1000": "at most 500",
    "degree=1@5,2": "cost for every value",
    "degree=1@free": "number as the cost",
    "degree=1..3@5": "a value",
    "stage(Rinse.max=1": "closing parenthesis",
    "stage(Rinse)max=1": '"="',
    "hoist.empty.speed+=1": "key of the problem file",
    "cycle.min=0.1234567": "at most 6 decimals",
    "cycle.min=99999999999": "at most",
    "degree=\x1b": "a value",
}


@pytest.mark.parametrize("text", WRONG)
def test_what_cannot_be_read_is_named(text: str) -> None:
    with pytest.raises(InputError) as caught:
        read_parameter(text)
    assert WRONG[text] in str(caught.value)
    assert str(caught.value).isprintable()


def test_values_given_from_python_are_exact() -> None:
    (speed,) = parameters_of({"hoist.empty.speed": [0.1, (Decimal("0.2"), 50), None, "0.3"][:1]})
    assert [level.value for level in speed.levels] == [Decimal("0.1")]
    (priced,) = parameters_of({"parallel(Dryer)": [(1, 0), (2, 4.5)]})
    assert [(x.value, x.cost) for x in priced.levels] == [(1, 0), (2, Decimal("4.5"))]
    (typed,) = parameters_of({"degree": "1..3"})
    assert [level.value for level in typed.levels] == [1, 2, 3]
    for wrong in (float("nan"), float("inf"), True, object()):
        with pytest.raises(InputError):
            parameters_of({"degree": [wrong]})
    with pytest.raises(InputError, match="varied once"):
        parameters_of(["degree=1", "hoist.lift + degree=2"])


# -- set in a problem ------------------------------------------------------------------

# What a user would type into the file instead: each pair of texts is the same change.
EDITS = {
    "hoist.empty.speed = 1.5": ("empty = { speed = 0.8,", "empty = { speed = 1.5,"),
    "hoist.lift + hoist.lower = 4": ("lift = 9\nlower = 8", "lift = 4\nlower = 4"),
    "hoist.loaded.settling = 0": ("settling = 2 }", "settling = 0 }"),
    "hoist.payload = none": ("payload = 250\n", ""),
    "carriers.count = 7": ("count = 9", "count = 7"),
    "carriers.return_time = 0.5": ("return_time = 90 ", "return_time = 0.5 "),
    "stage(Etch).max = 200": ("max = 95 ", "max = 200 "),
    "stage(Etch).max = none": ("max = 95 ", "#"),
    "recipe(Brackets, clear).stage(7).min = 700": ("min = 720", "min = 700"),
    "station(Dryer).settling = 1.25": ("settling = 3 ", "settling = 1.25 "),
    "station(Seal).capacity = 3": (
        'name = "Seal"\nposition', 'name = "Seal"\ncapacity = 3\nposition'
    ),
    "stage(Rinse after sealing).drip = 9": ("drip = 4", "drip = 9"),
    "cycle.max = 900": ("[carriers]", "[cycle]\nmax = 900\n[carriers]"),
    "cycle.mix(Brackets, clear) = 2": (
        "[carriers]", '[cycle]\nmix = { "Brackets, clear" = 2 }\n[carriers]'
    ),
    "mix = 3": ("[carriers]", '[cycle]\nmix = { "Brackets, clear" = 3 }\n[carriers]'),
}  # fmt: skip


@pytest.mark.parametrize("text", EDITS)
def test_setting_a_key_is_typing_it_into_the_file(text: str, tmp_path: Path) -> None:
    typed = text.replace("recipe(Brackets, clear)", 'recipe("Brackets, clear")')
    typed = typed.replace("mix(Brackets, clear)", 'mix("Brackets, clear")')
    before, after = EDITS[text]
    original = (PROBLEMS / "quillhaven_anodising.toml").read_text()
    assert before in original
    edited = tmp_path / "line.toml"
    edited.write_text(original.replace(before, after, 1))
    (design,) = grid(line("quillhaven_anodising"), [read_parameter(typed)])
    assert design.problem == load_problem(edited)
    assert design.problem != line("quillhaven_anodising")


REFUSED = {
    "hoist.speed = 1": ("three_tanks_dryer", "speed"),
    "hoist.empty = 1": ("three_tanks_dryer", "empty"),
    "hoist = 1": ("three_tanks_dryer", "hoist"),
    "name = X": ("three_tanks_dryer", "name"),
    "tank(Rinse).max = 1": ("three_tanks_dryer", "tank(Rinse)"),
    "station.max = 1": ("three_tanks_dryer", "station"),
    "station(Nowhere).lift = 1": ("three_tanks_dryer", "Known: Bench, Wash"),
    "stage(Nothing).max = 100": ("three_tanks_dryer", "Known: Wash"),
    "stage(1).max = 100": ("three_tanks_dryer", "1"),
    "recipe(Cases).stage(9).max = 100": ("three_tanks_dryer", "from 1 to 4"),
    "crossing(1).min_drip = 5": ("three_tanks_dryer", "crossing"),
    "stage(Wash).max = 1": ("three_tanks_dryer", "at least min"),
    "degree = 0, 1": ("three_tanks_dryer", "whole number from 1"),
    "degree = 1.5": ("three_tanks_dryer", "whole numbers"),
    "degree(2) = 1": ("three_tanks_dryer", "degree"),
    "degree = 100": ("mixed_recipes", "at most 600 moves"),
    "mix = 1": ("mixed_recipes", "2 whole numbers"),
    "mix = 1:x": ("mixed_recipes", "2 whole numbers"),
    "mix = 0:0": ("mixed_recipes", "at least one recipe"),
    "cycle.mix(Gold) = 1": ("mixed_recipes", "Known: Brass hinges, Steel hinges"),
    "hoist.empty.speed = 1": ("phillips_unger_1976", "hoist.empty"),
    "parallel(Nowhere) = 2": ("three_tanks_dryer", "Known: Bench"),
    "parallel(Bench) = 2": ("three_tanks_dryer", "tank"),
    "parallel(Dryer) = 1.5": ("three_tanks_dryer", "whole number from 0"),
    "parallel(Dryer) = 99": ("three_tanks_dryer", "whole number from 0"),
    "parallel(Dryer) = 0": ("three_tanks_dryer", "no other station"),
    "parallel(Dryer, 8) = 1, 3": ("three_tanks_dryer", "each of 2 copies"),
    "parallel(Dryer, here) = 2": ("three_tanks_dryer", "position"),
    "parallel = 2": ("three_tanks_dryer", "parallel"),
}


@pytest.mark.parametrize("text", REFUSED)
def test_what_cannot_be_set_is_refused_and_named(text: str) -> None:
    name, told = REFUSED[text]
    with pytest.raises(InputError) as caught:
        grid(line(name), [read_parameter(text)])
    assert told in str(caught.value)


def test_a_mix_cannot_be_varied_against_a_given_order() -> None:
    data = line("mixed_recipes").to_data()
    data["cycle"] = {"order": ["Brass hinges", "Steel hinges"]}
    for text in ("mix = 1:2", "cycle.mix(Brass hinges) = 3"):
        with pytest.raises(InputError, match=r"cycle\.order"):
            grid(Problem.from_data(data), [read_parameter(text)])


def test_a_stage_called_like_another_is_told_by_number() -> None:
    data = line("three_tanks_dryer").to_data()
    data["recipe"][0]["stage"][0]["name"] = data["recipe"][0]["stage"][1]["name"] = "Bath"
    problem = Problem.from_data(data)
    with pytest.raises(InputError, match="NUMBER"):
        grid(problem, [read_parameter("stage(Bath).min = 70")])
    (design,) = grid(problem, [read_parameter("recipe(Cases).stage(2).min = 125")])
    assert [stage.min for stage in design.problem.recipes[0].stages][1] == 125


def test_every_combination_is_a_point_the_last_key_changing_fastest() -> None:
    given = ["degree = 1@5, 2@7", "hoist.lift = 3, 4, 5"]
    designs = grid(line(), parameters_of(given))
    assert [tuple(v for _, v in design.settings) for design in designs] == [
        (1, 3), (1, 4), (1, 5), (2, 3), (2, 4), (2, 5),
    ]  # fmt: skip
    assert [design.degree for design in designs] == [1, 1, 1, 2, 2, 2]
    assert [design.cost for design in designs] == [5, 5, 5, 7, 7, 7]
    assert [design.problem.hoist.lift for design in designs] == [3, 4, 5] * 2
    with pytest.raises(InputError, match="2000 combinations"):
        grid(line(), parameters_of(["hoist.lift = 1..60", "hoist.lower = 1..60"]))
