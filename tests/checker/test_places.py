"""No more carriers than places, and the order of leaving. Times by hand, see checked_line."""

from __future__ import annotations

from typing import Any

import pytest

from hoistopt.checker import verify
from hoistopt.problem import Problem
from tests.helpers.lines.checked_line import (
    accepted,
    every_pair,
    found,
    line,
    only,
    rules,
    stage,
    table,
    usual_line,
    usual_table,
)

pytestmark = pytest.mark.quick

NO_MAXIMUM = {"station": "B", "min": 40, "max": None}


def test_a_tank_is_free_once_its_carrier_is_lifted() -> None:
    # Lifted from B at 125, the next set down in it at 150: as close as one hoist can.
    accepted(usual_line(), usual_table(a=40, b=25))


def test_a_carrier_set_down_the_moment_the_other_is_lifted_is_on_top_of_it() -> None:
    # In B from 50; the hoist sets the next one down at 150 and only then lifts this one.
    violation = only(usual_line(b=NO_MAXIMUM), usual_table(a=40, b=50))
    assert violation.rule == "double occupation"
    assert (violation.station, violation.step, violation.cycle) == ("B", 2, 2)
    assert (violation.found, violation.limit) == (2, 1)
    assert violation.message == (
        "B, step 2, cycle 2: carrier set down at 150 s while a carrier stands there until 150 s "
        "(0 s too early)"
    )


def test_two_loads_in_one_tank_at_once_are_told_with_their_times() -> None:
    # Of degree 2: into A at 10 and 60, out of it at 70 and 130.
    problem = line([{"name": "Bench", "kind": "load-unload", "capacity": 9}, {"name": "A"}], ONE)
    hinted = [(0, "Bench", "A"), (50, "Bench", "A"), (70, "A", "Bench"), (130, "A", "Bench")]
    loads = [(1, 0), (2, 0), (1, 1), (2, 1)]
    steps = [(*move, "R", *load) for move, load in zip(hinted, loads, strict=True)]
    violation = only(problem, table(200, *steps))
    assert violation.rule == "double occupation"
    assert "set down at 60 s while a carrier stands there until 70 s (10 s too early)" in (
        violation.message
    )


ONE = {"name": "R", "stage": [stage("A", 10)]}


def wide(least: int, most: int | None = None, **tank: Any) -> Problem:
    """A tank of two places between unlimited benches."""
    return line(
        [
            {"name": "Bench", "kind": "load-unload", "capacity": "unlimited"},
            {"name": "A", "capacity": 2, **tank},
        ],
        {"name": "R", "stage": [stage("A", least, most)]},
    )


def test_a_dwell_longer_than_the_cycle_needs_two_places() -> None:
    # Set down at 10, lifted at 160: the table alone says 50 or 150, the minimum which.
    steps = table(100, (0, "Bench", "A"), (60, "A", "Bench"))
    seen = accepted(wide(150), steps)
    assert {stay.dwell for stay in seen.stays if stay.station == "A"} == {150}
    first = next(run for run in seen.runs if run.source == "A")
    assert (first.cycle, first.start) == (2, 160)
    assert (1, 2) in seen.skipped
    accepted(wide(150, 150), steps)


def test_a_dwell_longer_than_the_cycle_is_held_to_its_window() -> None:
    steps = table(100, (0, "Bench", "A"), (60, "A", "Bench"))
    violation = only(wide(151), steps)
    assert (violation.rule, violation.found, violation.limit) == ("window", 150, 151)
    violation = only(wide(60, 149), steps)
    assert (violation.rule, violation.found, violation.limit) == ("window", 150, 149)


def test_a_third_carrier_in_two_places_is_too_many() -> None:
    # Lifted at 10 of the cycle after next: 200 there, the third set down before the lift.
    steps = table(100, (0, "Bench", "A"), (10, "A", "Bench", None, None, None, 2))
    violation = only(wide(101), steps)
    assert violation.rule == "double occupation"
    assert (violation.found, violation.limit) == (3, 2)
    assert violation.message == (
        "A, step 1, cycle 3: carrier set down at 210 s while 2 carriers stand there until 210 s "
        "(0 s too early); there are 2 places"
    )
    accepted(wide(101, capacity=3), steps)


# Two loads per cycle of 200, set down in A at 10 and 50, lifted at 80 and 130.
COMING = [(0, "Bench", "A", "R", 1, 0), (40, "Bench", "A", "R", 2, 0)]


def test_a_station_that_keeps_order_lets_none_overtake() -> None:
    in_order = [(80, "A", "Bench", "R", 1, 1), (130, "A", "Bench", "R", 2, 1)]
    overtaking = [(80, "A", "Bench", "R", 2, 1), (130, "A", "Bench", "R", 1, 1)]
    accepted(wide(10), table(200, *COMING, *in_order))
    accepted(wide(10, order="any"), table(200, *COMING, *overtaking))
    violation = only(wide(10), table(200, *COMING, *overtaking))
    assert violation.rule == "order of leaving"
    assert (violation.station, violation.step, violation.cycle) == ("A", 3, 1)
    assert violation.message == (
        "A, step 3, cycle 1: lifts the carrier set down at 50 s, before the one set down at 10 s "
        "has left; this station keeps the order"
    )


def test_a_tank_that_serves_two_stages_holds_one_carrier_all_the_same() -> None:
    # A, B, A again: into A at 10 and, from B, at 50; out of A at 25 and 75.
    problem = line(
        [{"name": "Bench", "kind": "load-unload"}, {"name": "A"}, {"name": "B"}],
        {"name": "R", "stage": [stage("A", 10), stage("B", 5), stage("A", 20)]},
    )
    moves = [(0, "Bench", "A"), (25, "A", "B"), (40, "B", "A"), (75, "A", "Bench")]
    accepted(problem, table(100, *moves))
    # Lifted from A only after the next load was set down there, at 110.
    late = [(0, "Bench", "A"), (10, "A", "Bench", "R", 1, 3), (25, "A", "B"), (40, "B", "A")]
    assert "double occupation" in rules(problem, table(100, *late))


def test_the_bench_has_its_places_too() -> None:
    # Two loads a cycle; both come back before either leaves again.
    problem = bench_of(1)
    steps = table(
        200,
        (0, "Bench", "A"),
        (20, "Bench", "B"),
        (60, "A", "Bench"),
        (80, "B", "Bench"),
    )
    accepted(bench_of(2), steps)
    messages = found(problem, steps)
    # Only the second of the two is in the way, from 90 until the first is lifted at 200.
    assert len(messages) == 1
    assert "while a carrier stands there until 200 s (110 s too early)" in messages[0]
    assert verify(problem, steps)[0].rule == "double occupation"


def bench_of(capacity: int) -> Problem:
    return line(
        [
            {"name": "Bench", "kind": "load-unload", "capacity": capacity},
            {"name": "A"},
            {"name": "B"},
        ],
        {"name": "R", "stage": [stage(["A", "B"], 10)]},
    )


def test_a_place_is_free_the_moment_it_is_cleared_if_the_hoist_cleared_it_first() -> None:
    # A hoist that takes no time: B cleared and filled at 50.
    names = ["Bench", "A", "B"]
    instant = {"loaded": every_pair(names, 0), "empty": every_pair(names, 0)}
    problem = usual_line(b=NO_MAXIMUM, times=instant)
    accepted(problem, table(100, (0, "Bench", "A"), (50, "B", "Bench"), (50, "A", "B")))
    assert "double occupation" in rules(
        problem, table(100, (0, "Bench", "A"), (50, "A", "B"), (50, "B", "Bench"))
    )
