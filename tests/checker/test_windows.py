"""Dwell windows: kept on the limit, broken by one tick. Times by hand, see checked_line."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from hoistopt.schedule import Schedule
from tests.helpers.lines.checked_line import (
    accepted,
    found,
    line,
    only,
    stage,
    table,
    usual_line,
    usual_table,
)

pytestmark = pytest.mark.quick


def test_the_usual_table_is_accepted() -> None:
    accepted(usual_line(), usual_table())


# Lifts from A and B and the cycle time on the limit; the same one tick beyond it; station,
# its step, dwell seen, limit.
LIMITS = {
    # A until 70: 10 to 70 = 60. B from 80 to 120 = 40.
    "longest in A": ((70, 20, 100), (71, 21, 100), "A", 3, 61, 60),
    # A until 40: 10 to 40 = 30. B from 50 to 125 = 75; B's carrier is off the hoist at 35.
    "shortest in A": ((40, 25, 100), (39, 24, 100), "A", 3, 29, 30),
    # B from 80 to 120 = 40.
    "shortest in B": ((70, 20, 100), (70, 19, 100), "B", 2, 39, 40),
    # B from 50 to 105 + 25 = 80.
    "longest in B": ((40, 25, 105), (40, 25, 106), "B", 2, 81, 80),
}


@pytest.mark.parametrize("case", LIMITS)
def test_a_dwell_on_the_limit_is_accepted(case: str) -> None:
    a, b, cycle = LIMITS[case][0]
    accepted(usual_line(), usual_table(a=a, b=b, cycle=cycle))


@pytest.mark.parametrize("case", LIMITS)
def test_a_dwell_one_tick_beyond_the_limit_is_told_with_its_figures(case: str) -> None:
    _, (a, b, cycle), station, step, dwell, limit = LIMITS[case]
    says = f"max. {limit} s (1 s too long)" if dwell > limit else f"min. {limit} s (1 s too short)"
    violation = only(usual_line(), usual_table(a=a, b=b, cycle=cycle))
    assert violation.rule == "window"
    assert (violation.station, violation.step) == (station, step)
    assert (violation.found, violation.limit) == (dwell, limit)
    assert violation.message.startswith(f"{station}, step {step}, cycle ")
    assert violation.message.endswith(f"dwell {dwell} s, {says}")


def test_a_fault_is_told_once_for_the_first_cycle_that_has_it() -> None:
    # Lifted from A at 71 of the first cycle, and of every other.
    violation = only(usual_line(), usual_table(a=71, b=21))
    assert (violation.cycle, violation.time) == (1, 71)
    # B is reached in the first cycle and left in the second, at 119.
    violation = only(usual_line(), usual_table(a=70, b=19))
    assert (violation.cycle, violation.time) == (2, 119)


def test_a_carrier_stands_at_the_bench_for_its_least_time() -> None:
    # Set down at 25, lifted at 100: 75.
    accepted(usual_line(bench={"min_occupation": 75}), usual_table())
    violation = only(usual_line(bench={"min_occupation": 75}), usual_table(b=16))
    assert (violation.rule, violation.station, violation.step) == ("window", "Bench", 1)
    assert (violation.found, violation.limit) == (74, 75)


def test_a_bench_without_limit_on_places_asks_for_no_least_time() -> None:
    bench = {"min_occupation": 76, "capacity": "unlimited"}
    accepted(usual_line(bench=bench), usual_table())


def test_no_maximum_means_any_dwell() -> None:
    problem = usual_line(a={"station": "A", "min": 30, "max": None})
    accepted(problem, usual_table(a=84, b=40))  # 74 in A, 94 to 140 in B


def test_ticks_finer_than_the_unit_are_exact() -> None:
    # The usual table in tenths of a tenth: 71 / 1.0 becomes 7000 + 1 hundredths.
    steps = [(0, "Bench", "A"), (7001, "A", "B"), (2001, "B", "Bench")]
    violation = only(usual_line(), table(10_000, *steps, ticks=100))
    assert (violation.found, violation.limit) == (F(6001, 100), 60)
    assert "dwell 60.01 s, max. 60 s (0.01 s too long)" in violation.message


def test_a_tick_may_be_a_fraction_without_end() -> None:
    # Three ticks a second; 70 s and a third.
    steps = [(0, "Bench", "A"), (211, "A", "B"), (61, "B", "Bench")]
    violation = only(usual_line(), table(300, *steps, ticks=3))
    assert violation.found == F(181, 3)
    # To a hundredth of the tick of 1 s on which the line is planned, away from the limit.
    assert "dwell 60.34 s, max. 60 s (0.34 s too long)" in violation.message
    steps = [(0, "Bench", "A"), (119, "A", "B"), (61, "B", "Bench")]
    violation = only(usual_line(), table(300, *steps, ticks=3))
    assert violation.found == F(89, 3)
    assert "dwell 29.66 s, min. 30 s (0.34 s too short)" in violation.message
    accepted(
        usual_line(), table(300, (0, "Bench", "A"), (210, "A", "B"), (60, "B", "Bench"), ticks=3)
    )


def test_messages_name_the_unit_of_the_problem() -> None:
    violation = only(usual_line(unit="min"), usual_table(a=71, b=21))
    assert "dwell 61 min, max. 60 min (" in violation.message


def test_drip_is_no_dwell_and_lengthens_the_move() -> None:
    # 4 over A: lifted at 55, set down in B at 69; 46 there until 115.
    problem = usual_line(a={"drip": 4}, b={"min": 46})
    seen = accepted(problem, usual_table())
    assert {stay.dwell for stay in seen.stays if stay.station == "A"} == {45}
    assert {stay.dwell for stay in seen.stays if stay.station == "B"} == {46}
    assert only(usual_line(a={"drip": 5}, b={"min": 46}), usual_table()).found == 45


def test_a_carrier_no_step_ever_lifts_is_told_with_the_maximum_it_will_pass() -> None:
    without = table(100, (0, "Bench", "A"), (55, "A", "B"))
    messages = found(usual_line(), without)
    assert (
        "B, step 2, cycle 1: no step lifts the carrier set down here at 65 s, so the load never "
        "leaves the line; the max. dwell is 80 s" in messages
    )


def test_a_carrier_no_step_ever_lifts_is_told_where_there_is_no_maximum_too() -> None:
    problem = usual_line(b={"station": "B", "min": 40, "max": None})
    messages = found(problem, table(100, (0, "Bench", "A"), (55, "A", "B")))
    assert (
        "B, step 2, cycle 1: no step lifts the carrier set down here at 65 s, so the load never "
        "leaves the line" in messages
    )


def test_several_stations_keep_windows_of_their_stage() -> None:
    # Loads alternate between A and C;
    # cycle 200: Bench to A at 0 (10), A to Bench at 60 (dwell 50);
    #            Bench to C at 100 (110), C to Bench at 161 (dwell 51).
    problem = line(
        [
            {"name": "Bench", "kind": "load-unload", "min_occupation": 20},
            {"name": "A"},
            {"name": "C"},
        ],
        {"name": "R", "stage": [stage(["A", "C"], 30, 50)]},
    )
    moves = [(0, "Bench", "A"), (60, "A", "Bench"), (100, "Bench", "C")]
    accepted(problem, table(200, *moves, (160, "C", "Bench")))
    violation = only(problem, table(200, *moves, (161, "C", "Bench")))
    assert (violation.station, violation.step, violation.found) == ("C", 4, 51)


def test_an_empty_table_has_no_windows_to_break() -> None:
    assert only(usual_line(), Schedule(100, F(1), ())).rule == "mix"
