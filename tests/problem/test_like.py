"""Recipes like another, tanks out of service, sources and numbers of stations in a file."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

import hoistopt
from hoistopt import InputError, Problem, Schedule, Station, Step
from hoistopt.cli import main
from tests.helpers.wrong.wrong_problems import GOOD

pytestmark = pytest.mark.quick

EXAMPLE = Path(__file__).parents[2] / "problems" / "as_people_write_it.toml"
TWIN = GOOD.replace('station = "Hot"\n', 'station = ["Hot", "Warm"]\n') + (
    '[[station]]\nname = "Warm"\nposition = 5\n'
)


def of(text: str) -> Problem:
    return Problem.from_data(tomllib.loads(text, parse_float=Decimal))


def test_the_example_is_what_it_says_in_full() -> None:
    problem = hoistopt.load_problem(EXAMPLE)
    plain, thick = problem.recipes
    assert [(stage.min, stage.max) for stage in plain.stages] == [(120, 240), (300, 390), (30, 90)]
    assert [(stage.min, stage.max) for stage in thick.stages] == [(120, 240), (480, 570), (30, 90)]
    assert thick.stages[0] == plain.stages[0]
    # Two loads in a set, four and a half an hour.
    assert problem.cycle.max == 1600
    assert problem.hoist.lift == 9
    assert plain.stages[1].station == ("Nickel 1",)
    assert any("Nickel 2 is out of service" in sentence for sentence in problem.warnings)


def test_a_recipe_like_one_that_is_like_another_and_leaves_a_stage_out() -> None:
    more = """
[cycle]
mix = { A = 1, B = 1, C = 1 }
[[recipe]]
name = "C"
like = "B"
[[recipe.change]]
stage = "Hot"
max = 70
[[recipe]]
name = "B"
like = "A"
mass = 40
[[recipe.change]]
stage = 1
left_out = true
"""
    problem = of(GOOD + more)
    a, c, b = problem.recipes
    assert [stage.label for stage in b.stages] == [stage.label for stage in c.stages] == ["Hot"]
    assert (c.stages[0].min, c.stages[0].max, c.mass, a.mass) == (40, 70, 40, None)
    assert Problem.from_data(problem.to_data()) == problem


def _recipe(text: str) -> str:
    return GOOD + "[cycle]\nmix = { A = 1 }\n[[recipe]]\n" + text


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (_recipe('name = "B"\nlike = "X"\n'), "like = X: expected the name of another recipe"),
        (_recipe('name = "B"\nlike = "B"\n'), "B is like B"),
        (
            _recipe('name = "B"\nlike = "C"\n[[recipe]]\nname = "C"\nlike = "B"\n'),
            "B is like C is like B",
        ),
        (_recipe('name = "B"\nlike = 3\n'), "like = 3"),
        (
            _recipe('name = "B"\n[[recipe.change]]\nstage = 1\nmin = 2\n'),
            "a recipe that it is like",
        ),
        (
            _recipe('name = "B"\nlike = "A"\n[[recipe.stage]]\nstation = "Hot"\nmin = 2\n'),
            "changes of stages",
        ),
        (
            _recipe('name = "B"\nlike = "A"\n[[recipe.change]]\nstage = "Cold"\nmin = 2\n'),
            'change 1, stage = Cold: expected a stage of recipe "A"',
        ),
        (_recipe('name = "B"\nlike = "A"\n[[recipe.change]]\nstage = 3\nmin = 2\n'), "stage = 3"),
        (_recipe('name = "B"\nlike = "A"\n[[recipe.change]]\nmin = 2\n'), "change 1, stage"),
        (_recipe('name = "B"\nlike = "A"\n[[recipe.change]]\nstage = 1\n'), "what is other"),
        (
            _recipe(
                'name = "B"\nlike = "A"\n[[recipe.change]]\nstage = 1\nmin = 2\n'
                '[[recipe.change]]\nstage = "Bath"\nmax = 9\n'
            ),
            "Change 1 is of that stage too",
        ),
        (
            _recipe('name = "B"\nlike = "A"\n[[recipe.change]]\nstage = 1\nmin = 70\n'),
            "at least min, which is 70",
        ),
        (
            _recipe('name = "B"\nlike = "A"\n[[recipe.change]]\nstage = 1\nmins = 70\n'),
            "no such key here",
        ),
        (_recipe('name = "B"\nlike = "A"\nchange = 5\n'), "a list of tables"),
    ],
)
def test_what_makes_no_sense_of_like_is_refused(text: str, said: str) -> None:
    with pytest.raises(InputError) as refused:
        of(text)
    assert said in str(refused.value)


def test_a_line_without_a_tank_is_the_line_with_it_out_of_service() -> None:
    out = of(TWIN + "out_of_service = true\n")
    fewer = of(TWIN.replace(', "Warm"]', "]"))
    assert out.recipes == fewer.recipes
    # What was stated is kept for the day when it is back.
    assert out.to_data()["recipe"][0]["stage"][1]["station"] == ("Hot", "Warm")
    assert Problem.from_data(out.to_data()) == out
    data: dict[str, Any] = out.to_data()
    del data["station"][-1]["out_of_service"]
    assert Problem.from_data(data) == out.all_in_service() == of(TWIN)
    assert fewer.all_in_service() is fewer
    assert hoistopt.solve(out).cycle_time == hoistopt.solve(fewer).cycle_time


def test_a_tank_is_taken_out_of_service_in_code_and_by_an_option(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    line = of(TWIN.replace('name = "Warm"', 'name = "Warm"\nnumber = 7'))
    assert line.with_out_of_service(["Warm"]) == line.with_out_of_service(["7"])
    assert line.with_out_of_service([]) == line
    line.save(tmp_path / "line.toml")
    (tmp_path / "o.csv").write_text("recipe,count\nA,2\n")
    given, search = str(tmp_path / "line.toml"), ["--time-limit", "1", "--quiet"]
    for command in (
        ["solve", given, "--degree", "2"],
        ["plan", given, "--orders", str(tmp_path / "o.csv")],
    ):
        table = str(tmp_path / f"{command[0]}.csv")
        assert main([*command, *search, "--out-of-service", "7", "--csv", table]) == 0
        assert "Warm is out of service" in capsys.readouterr().err
        moves = [x for x in Path(table).read_text().splitlines() if x[0].isdigit()]
        assert moves and not any("Warm" in move for move in moves)
        # The file knows the tank, so what leaves it empty is clean.
        assert main(["verify", given, table]) == 0
        capsys.readouterr()
    for wrong, said in (
        (["Warm", "--out-of-service", "Hot"], "expected a station in service"),
        (["Cold"], "--out-of-service = Cold"),
        (["Out"], "at tanks and dryers only"),
    ):
        assert main(["solve", given, "--out-of-service", *wrong]) == 2
        assert said in capsys.readouterr().err


def test_a_stage_to_which_no_load_comes_may_be_left_without_a_tank() -> None:
    """Its tank serves that stage alone, and is taken out of those that have another."""
    line = of(TWIN)
    assert line.with_out_of_service(["Warm"], {"A": 1}) == line.with_out_of_service(["Warm"])
    for needed in ({"A": 3}, {}):
        out = line.with_out_of_service(["Hot", "Warm"], needed)
        assert out.recipes[0].stages[1].station == ("Hot", "Warm")
    with pytest.raises(InputError, match="station in service"):
        line.with_out_of_service(["Hot", "Warm"], {"A": 2})
    shared = TWIN + (
        '[[recipe]]\nname = "B"\n[[recipe.stage]]\nstation = "Hot"\nmin = 1\n'
        "[cycle]\nmix = { A = 1, B = 1 }\n"
    )
    some = of(shared).with_out_of_service(["Hot"], {"A": 1})
    assert [recipe.stages[-1].station for recipe in some.recipes][1] == ("Hot",)
    assert some.recipes[0].stages[1].station == ("Warm",)


def test_a_move_into_a_tank_out_of_service_is_named() -> None:
    problem = of(TWIN + "out_of_service = true\n")
    steps = tuple(
        Step(start, source, target)
        for start, source, target in ((0, "In", "Bath"), (60, "Bath", "Warm"), (120, "Warm", "Out"))
    )
    found = hoistopt.verify(problem, Schedule(200, 1, steps))
    assert any("Warm is out of service" in violation.message for violation in found)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            GOOD.replace('name = "Hot"', 'name = "Hot"\nout_of_service = true'),
            'stage 2 ("Hot"), station = Hot: expected a station in service',
        ),
        (
            GOOD.replace('name = "Out"', 'name = "Out"\nout_of_service = true'),
            "this key at tanks and dryers only",
        ),
        (GOOD.replace('name = "Hot"', 'name = "Hot"\nout_of_service = 1'), "out_of_service = 1"),
        (
            GOOD.replace('name = "Hot"', 'name = "Hot"\nnumber = 2').replace(
                'name = "Bath"', 'name = "Bath"\nnumber = 2'
            ),
            '"Bath" has this one',
        ),
        (GOOD.replace('name = "Hot"', 'name = "Hot"\nnumber = 10000'), "at most 9999"),
        (GOOD.replace('name = "Hot"', 'name = "Hot"\nsource = "a\\nb"'), "on one line"),
    ],
)
def test_wrong_words_about_a_station_are_refused(text: str, said: str) -> None:
    with pytest.raises(InputError) as refused:
        of(text)
    assert said in str(refused.value)


def test_in_code() -> None:
    tank = Station("Nickel", position=1, number=7, out_of_service=True, source="Data sheet")
    assert repr(tank) == (
        "Station('Nickel', position=1, number=7, out_of_service=True, source='Data sheet')"
    )
