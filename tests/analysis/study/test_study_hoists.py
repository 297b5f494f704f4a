"""A second hoist, or a faster one: the number of hoists and the speeds of all or of one varied."""

from __future__ import annotations

import json
from fractions import Fraction

import pytest

import hoistopt
from hoistopt import InputError, Problem, Travel
from hoistopt.analysis.study.keypath import read_paths
from hoistopt.analysis.study.settings import plain_data, set_value
from hoistopt.analysis.study.task import answer_from, schedule_data
from tests.helpers.hoists.hand_over import handed_over, line
from tests.helpers.studying import AtOnce


def one_hoist(problem: Problem) -> Problem:
    data = dict(problem.to_data())
    return Problem.from_data({**data, "hoist": {**data["hoist"][0], "name": None}})


def test_a_second_hoist_is_tried_on_a_line_with_one() -> None:
    one = one_hoist(line())
    done = hoistopt.study(one, {"hoists": [1, 2]}, executor=AtOnce(), time_limit=10)
    alone, both = done.points
    assert alone.cycle_time == done.reference.cycle_time
    assert [hoist.name for hoist in both.design.problem.hoists] == ["Hoist 1", "Hoist 2"]
    twice = hoistopt.solve(line(), time_limit=10, workers=1)
    assert both.cycle_time == twice.cycle_time and both.status == "optimal"
    assert both.cycle_time is not None and alone.cycle_time is not None
    assert both.cycle_time < alone.cycle_time


def test_fewer_hoists_are_the_first_ones_without_their_ranges() -> None:
    data = plain_data(line())
    data["hoist"][0]["to"], data["hoist"][1]["from"] = 4, 4
    narrow = Problem.from_data(data)
    done = hoistopt.study(narrow, ["hoists = 1, 2"], executor=AtOnce(), time_limit=10)
    assert len(done.points[0].design.problem.hoists) == 1
    assert done.points[0].design.problem.hoists[0].to is None
    assert done.points[1].design.problem == narrow


def test_speeds_of_all_hoists_or_of_one() -> None:
    data = plain_data(line())
    (paths, _), (single, _) = read_paths("hoist.empty.speed"), read_paths("hoist(B).empty.speed")
    set_value(data, paths[0], 3)
    assert [hoist["empty"]["speed"] for hoist in data["hoist"]] == [3, 3]
    set_value(data, single[0], 2)
    assert [hoist["empty"]["speed"] for hoist in data["hoist"]] == [3, 2]


WRONG = {
    "no clearance": ("hoists = 2", "track, clearance"),
    "none at all": ("hoists = 0", "whole numbers from 1 to 8"),
    "too many": ("hoists = 9", "whole numbers from 1 to 8"),
    "an unknown hoist": ("hoist(C).empty.speed = 2", "its hoist has no name: write hoist"),
}


@pytest.mark.parametrize("wrong", WRONG)
def test_what_cannot_be_varied_is_refused_in_one_line(wrong: str) -> None:
    varied, expected = WRONG[wrong]
    data = dict(one_hoist(line()).to_data())
    del data["track"]
    with pytest.raises(InputError) as error:
        hoistopt.study(Problem.from_data(data), [varied], executor=AtOnce())
    assert expected.lower() in str(error.value).lower() and "\n" not in str(error.value)


def test_travels_of_an_answer_survive_plain_data() -> None:
    aside = Travel(Fraction(21, 2), "B", Fraction(10)), Travel(Fraction(20), "B", Fraction(4))
    made = handed_over(30, *aside)
    data = json.loads(json.dumps({"status": "feasible", "schedule": schedule_data(made)}))
    assert answer_from(line(), data).schedule == made
    data["schedule"]["travels"] = []  # B then goes back at once and stands in A's way
    assert answer_from(line(), data).status == "failed"
