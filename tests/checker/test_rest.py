"""A place stays empty for a while after each carrier: on the limit and beyond it, by hand.

Times by hand, see checked_line: lifted from A at 55, the next is set down there at 110.
"""

from __future__ import annotations

from typing import Any

import pytest

import hoistopt
from hoistopt import Between, HoistAt, LineState, Resting
from hoistopt.base.errors import InputError
from hoistopt.problem import Problem
from hoistopt.schedule.state_files import state_from_data, state_to_data
from tests.helpers.lines.checked_line import accepted, bench, line, only, stage, table, usual_line
from tests.helpers.lines.checked_line import usual_table as usual

pytestmark = pytest.mark.quick


def resting(rest: float, **tank: Any) -> Problem:
    """The usual line, whose tank A rests."""
    data = usual_line().to_data()
    first, second, *others = data["station"]
    second = {**second, "min_rest": rest, **tank}
    return Problem.from_data({**data, "station": [first, second, *others]})


def test_on_the_limit_a_rest_is_kept_and_beyond_it_broken() -> None:
    accepted(resting(55), usual())
    violation = only(resting(55.5), usual())
    assert (violation.rule, violation.station, violation.step) == ("rest", "A", 1)
    assert (violation.found, violation.limit) == (55, 55.5)
    assert violation.message == (
        "A, step 1, cycle 2: carrier set down at 110 s, 55 s after the one before it in its place "
        "was lifted; the place rests for 55.5 s (0.5 s too early)"
    )


def test_each_place_of_a_station_rests_by_itself() -> None:
    # Into A at 10, 110, 210, out at 70, 170: places in turn, each empty from 70 to 210.
    accepted(resting(155, capacity=2), usual())
    assert only(resting(155.5, capacity=2), usual()).rule == "rest"


def test_each_tank_of_a_group_rests_by_itself() -> None:
    tanks = [bench(9), {"name": "A", "min_rest": 120}, {"name": "B", "min_rest": 110}]
    data = line(tanks, {"name": "R", "stage": [stage(["A", "B"], 10)]})
    moves = [(0, "Bench", "A", "R", 1, 0), (30, "A", "Bench", "R", 1, 1)]
    moves += [(60, "Bench", "B", "R", 2, 0), (95, "B", "Bench", "R", 2, 1)]
    accepted(data, table(145, *moves))  # A from 30 to 155, B from 95 to 215
    assert only(data, table(139, *moves)).message.startswith("A, step 1, cycle 2")


@pytest.mark.parametrize(
    ("entry", "named"),
    [
        ({"station": "B", "empty_for": 5}, "a station that has a min_rest"),
        ({"station": "A", "empty_for": -5}, "resting, entry 1, empty_for = -5"),
        ({"station": "Z", "empty_for": 5}, "resting, entry 1, station"),
        ({"station": "A"}, "resting, entry 1, empty_for"),
    ],
)
def test_a_wrong_rest_of_a_state_is_one_clear_line(entry: dict[str, Any], named: str) -> None:
    with pytest.raises(InputError) as error:
        state_from_data({"resting": [entry]}, resting(30))
    assert named in str(error.value) and "\n" not in str(error.value)


def test_a_place_does_not_rest_while_a_carrier_stands_in_it() -> None:
    standing = {"station": "A", "recipe": "R", "stage": 1, "stood": 5}
    data = {
        "hoist": {"station": "A", "free_in": 0},
        "standing": [standing],
        "resting": [{"station": "A", "empty_for": 5}],
    }
    with pytest.raises(InputError, match="no more than 1 place in A"):
        state_from_data(data, resting(30))


def test_a_state_of_a_cycle_says_what_rests_and_is_read_back() -> None:
    problem = resting(50)
    state = hoistopt.state_in_cycle(problem, usual(), 80)
    assert state.resting == (Resting("A", Between.of(25)),)
    assert state_from_data(state_to_data(state, problem), problem).resting == state.resting
    assert hoistopt.state_in_cycle(problem, usual(), 20).resting == ()


def test_a_plan_waits_for_a_place_that_rests_in_the_state() -> None:
    state = LineState((), HoistAt("Bench", Between.of(0)), (), (Resting("A", Between.of(8, 20)),))
    orders = [hoistopt.Order("R")]
    waits = hoistopt.plan(resting(100), orders, state, workers=1)
    plain = hoistopt.plan(usual_line(), orders, LineState((), state.hoist), workers=1)
    assert waits.finish is not None and plain.finish is not None
    # Set down 92 from now at the earliest, not after the 20 and 10 of a carrier put there now.
    assert waits.finish - plain.finish == 92 - 30
