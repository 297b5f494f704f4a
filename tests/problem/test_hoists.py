"""Several hoists in a problem: what each may reach, and what is refused."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from hoistopt import (
    Carriers,
    Hoist,
    InputError,
    Motion,
    Problem,
    Recipe,
    Stage,
    Station,
    Times,
    Track,
)
from hoistopt.problem import load_problem
from hoistopt.problem.hoists import reach, serves
from tests.helpers.command import PROBLEMS
from tests.helpers.hoists.two_hoists import TWO

MOTION = Motion(1)


def line(**changed: Any) -> Problem:
    """Stations 0, 2, ..., 10 and two hoists at least 3 apart on a track from -3 to 13."""
    given: dict[str, Any] = {
        "stations": [
            Station("In", kind="load", position=0),
            *(Station(f"T{n}", position=2 * n) for n in range(1, 5)),
            Station("Out", kind="unload", position=10),
        ],
        "recipes": [Recipe("Parts", [Stage(f"T{n}", min=20, max=90) for n in range(1, 5)])],
        "hoist": [hoist("Left"), hoist("Right")],
        "track": Track(3, from_=-3, to=13),
    }
    return Problem("Two", **{**given, **changed})


def hoist(name: str | None, **more: Any) -> Hoist:
    return Hoist(name=name, lift=5, lower=5, loaded=MOTION, empty=MOTION, **more)


def test_a_file_with_one_hoist_means_what_it_meant() -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    assert problem.hoists == (problem.hoist,)
    assert isinstance(problem.to_data()["hoist"], dict)


def test_several_hoists_are_written_and_read_back() -> None:
    problem = load_problem(TWO)
    assert [one.name for one in problem.hoists] == ["Upstream", "Downstream"]
    assert Problem.from_data(problem.to_data()) == problem
    assert Problem.from_data(line().to_data()) == line()
    with pytest.raises(InputError, match="2 hoists"):
        _ = problem.hoist


def test_hoists_leave_one_another_room_at_the_ends() -> None:
    problem = line()
    assert reach(problem, 0) == (-3, 10) and reach(problem, 1) == (0, 13)
    at = problem.station_by_name
    assert serves(problem, 0, at["Out"]) and serves(problem, 1, at["In"])
    narrow = line(track=Track(3, from_=0, to=13))
    assert reach(narrow, 1) == (3, 13) and not serves(narrow, 1, narrow.station_by_name["T1"])


def test_ranges_bound_the_neighbours_too() -> None:
    problem = line(hoist=[hoist("Left", from_=0), hoist("Right", to=Decimal("11.5"))])
    assert reach(problem, 0) == (0, Decimal("8.5")) and reach(problem, 1) == (3, Decimal("11.5"))


WRONG = {
    "no name": ({"hoist": [hoist("Left"), hoist(None)]}, "hoist 2, name"),
    "one name twice": ({"hoist": [hoist("A"), hoist("A")]}, "a name of its own"),
    "no track": ({"track": None}, "track, clearance"),
    "wider than the track": ({"track": Track(17)}, "room for 2 hoists"),
    "unknown station": ({"hoist": [hoist("A", to="T9"), hoist("B")]}, "a position, or the name"),
    "not in track order": (
        {"hoist": [hoist("A", from_=9), hoist("B", to=6)]},
        "listed in track order",
    ),
    "the last one first": (
        {"hoist": [hoist("A", from_=5, to=13), hoist("B", from_=0, to=9)]},
        "Put B before A in the file",
    ),
    "a range turned round": (
        {"hoist": [hoist("A", from_="T2", to="T1"), hoist("B")]},
        'hoist 1 ("A"), from = 4: expected a position below the other end of its range, which is 2',
    ),
    "no way back for empty carriers": (
        {
            "hoist": [hoist("A", to="T3"), hoist("B", from_="T1")],
            "carriers": Carriers(return_="hoist"),
        },
        "move out of stage 5 = Out to In",
    ),
    "no hoist there": ({"hoist": [hoist("A", from_=1), hoist("B")]}, "a station that some hoist"),
    "unreachable": (
        {"hoist": [hoist("A", unreachable=["T2"]), hoist("B", unreachable=["T2"])]},
        "a station that some hoist reaches",
    ),
    "no way to hand over": (
        {"hoist": [hoist("A", to="T2"), hoist("B", from_="T3")]},
        "out of stage 2",
    ),
    "no speed": ({"hoist": [hoist("A"), Hoist(name="B", lift=5, lower=5)]}, "its speed"),
    "empty travel from a table": (
        {"times": Times(empty={("T1", "In"): 9})},
        "no table of empty travel",
    ),
    "a measured move quicker than top speed": (
        {"times": Times(loaded={("T1", "T2"): Decimal("1.9")})},
        "times, loaded, entry 1, time = 1.9: expected at least the time that the way from T1 to T2",
    ),
    "an unknown hoist of a stage": (
        {"recipes": [Recipe("Parts", [Stage("T1", min=5, hoist="C")])]},
        'recipe "Parts", stage 1 ("T1"), hoist = C: expected the name of a hoist of this line',
    ),
    "a hoist that cannot bring loads there": (
        {
            "hoist": [hoist("A", to="T3"), hoist("B", from_="T2")],
            "recipes": [
                Recipe("Parts", [Stage("T1", min=5, hoist="B"), Stage("T3", min=5)]),
            ],
        },
        "a hoist that reaches both ends of the move into this stage, In to T1",
    ),
}


@pytest.mark.parametrize("wrong", WRONG)
def test_what_cannot_be_is_refused_in_one_line(wrong: str) -> None:
    changed, expected = WRONG[wrong]
    with pytest.raises(InputError) as error:
        line(**changed)
    assert expected in str(error.value) and "\n" not in str(error.value)


def test_a_second_tank_is_not_called_needless_for_the_work_of_one_hoist() -> None:
    stages = [Stage(["T1", "T2"], min=5, max=90), Stage("T3", min=5), Stage("T4", min=5)]
    given: dict[str, Any] = {"recipes": [Recipe("Parts", stages)]}
    assert any("same stage" in said for said in line(**given, hoist=[hoist("One")]).warnings)
    assert not any("same stage" in said for said in line(**given).warnings)
