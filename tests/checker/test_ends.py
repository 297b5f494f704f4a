"""Load and unload stations, the return of carriers and their number. Times by hand."""

from __future__ import annotations

from typing import Any

import pytest

from hoistopt.checker import replay, verify
from hoistopt.problem import Problem
from tests.helpers.lines.checked_line import (
    accepted,
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


def separate(
    load: dict[str, Any] | None = None, unload: dict[str, Any] | None = None, **parts: Any
) -> Problem:
    """In, A, Out."""
    return line(
        [
            {"name": "In", "kind": "load", **(load or {})},
            {"name": "A"},
            {"name": "Out", "kind": "unload", **(unload or {})},
        ],
        {"name": "R", "stage": [stage("A", 10)]},
        **parts,
    )


# In to A at 0, set down at 10; A to Out at 50, set down at 60.
THROUGH = table(100, (0, "In", "A"), (50, "A", "Out"))


@pytest.mark.parametrize(("places", "least"), [(1, 100), (2, 200), (3, 300)])
def test_a_load_station_gives_each_carrier_its_least_time(places: int, least: int) -> None:
    # One is lifted every 100; a new one can be put on when a place is free.
    accepted(separate(load={"capacity": places, "min_occupation": least}), THROUGH)
    tight = separate(load={"capacity": places, "min_occupation": least + 1})
    violation = only(tight, THROUGH)
    assert (violation.rule, violation.station, violation.step) == ("window", "In", 1)
    assert (violation.found, violation.limit) == (least, least + 1)
    assert violation.cycle == places + 1  # those there at the start have stood long enough
    accepted(separate(load={"capacity": "unlimited", "min_occupation": 999}), THROUGH)


@pytest.mark.parametrize(("places", "least"), [(1, 100), (2, 200), (3, 300)])
def test_an_unload_station_holds_each_carrier_for_its_least_time(places: int, least: int) -> None:
    accepted(separate(unload={"capacity": places, "min_occupation": least}), THROUGH)
    tight = separate(unload={"capacity": places, "min_occupation": least + 1})
    violation = only(tight, THROUGH)
    assert (violation.rule, violation.station, violation.step) == ("double occupation", "Out", 2)
    assert (violation.found, violation.limit) == (places + 1, places)
    assert "(1 s too early)" in violation.message
    accepted(separate(unload={"capacity": "unlimited", "min_occupation": 999}), THROUGH)


def test_a_returning_carrier_is_ready_after_both_least_times_and_the_way_back() -> None:
    # Set down at 60; 20 there, 15 on the way, 5 at the load station: ready at 100.
    ends: dict[str, Any] = {"load": {"min_occupation": 5}, "unload": {"min_occupation": 20}}
    just = separate(**ends, carriers={"count": 1, "return_time": 15})
    assert accepted(just, THROUGH).carriers_needed == 1
    late = separate(**ends, carriers={"count": 1, "return_time": 16})
    violation = only(late, THROUGH)
    assert (violation.rule, violation.station, violation.step) == ("carriers", "In", 1)
    assert (violation.found, violation.limit, violation.cycle) == (2, 1, 2)
    assert violation.message == (
        "In, step 1, cycle 2: carrier number 2 is needed here, but there is only 1"
    )
    assert accepted(separate(**ends, carriers={"return_time": 16}), THROUGH).carriers_needed == 2


def test_a_carrier_that_takes_many_cycles_to_return_counts_all_that_time() -> None:
    # Ready at 60 + 945 = 1005, so lifted at 1100: eleven circulate.
    problem = separate(carriers={"count": 11, "return_time": 945})
    assert accepted(problem, THROUGH).carriers_needed == 11
    assert rules(separate(carriers={"count": 10, "return_time": 945}), THROUGH) == ["carriers"]


def test_carriers_come_back_in_the_order_that_needs_fewest() -> None:
    # Two loads per cycle of 200, set down at 60 and 90; each is ready 30 later, at 90 and
    # 120, and lifts are at 0 and 30: both are used in the next cycle, so two are enough.
    moves = [(0, "In", "A"), (30, "In", "B"), (50, "A", "Out"), (80, "B", "Out")]
    problem = line(
        [
            {"name": "In", "kind": "load"},
            {"name": "A"},
            {"name": "B"},
            {"name": "Out", "kind": "unload"},
        ],
        {"name": "R", "stage": [stage(["A", "B"], 10)]},
        carriers={"count": 2, "return_time": 110},
    )
    # Ready at 60 + 110 = 170 and 90 + 110 = 200; lifted at 200 and 230.
    assert accepted(problem, table(200, *moves)).carriers_needed == 2


def test_the_usual_table_needs_two_carriers() -> None:
    assert accepted(usual_line(carriers={"count": 2}), usual_table()).carriers_needed == 2
    violation = only(usual_line(carriers={"count": 1}), usual_table())
    assert (violation.rule, violation.found, violation.limit) == ("carriers", 2, 1)


def test_in_the_fill_a_fresh_carrier_is_put_on_the_bench_by_hand() -> None:
    seen = accepted(usual_line(), usual_table())
    at_bench = [stay for stay in seen.stays if stay.station == "Bench" and stay.until is not None]
    by_hand = [stay for stay in at_bench if stay.arrived_by is None]
    # In the first and the second cycle; the third load uses the first carrier again.
    assert [stay.until for stay in by_hand] == [0, 100]
    assert [stay.carrier for stay in at_bench][:4] == [1, 2, 1, 2]
    assert all(stay.dwell is not None and stay.dwell >= stay.least for stay in by_hand)


def test_a_shared_station_without_limit_on_places_still_keeps_the_least_time() -> None:
    # Set down at 25; with 75 at least it is lifted at 100, with 76 a cycle later.
    for least, needed in ((75, 2), (76, 3), (175, 3), (176, 4)):
        problem = usual_line(bench={"capacity": "unlimited", "min_occupation": least})
        assert replay(problem, usual_table()).carriers_needed == needed


def by_hoist(load: int = 0, unload: int = 0, **parts: Any) -> Problem:
    return separate(
        load={"min_occupation": load},
        unload={"min_occupation": unload},
        carriers={"return": "hoist", **parts},
    )


# Set down at Out at 40; carried back at 60, set down at In at 70.
ROUND = table(100, (0, "In", "A"), (30, "A", "Out"), (60, "Out", "In"))


def test_the_hoist_returns_the_carrier_after_its_least_time_at_either_end() -> None:
    seen = accepted(by_hoist(load=30, unload=20), ROUND)
    assert seen.carriers_needed == 1
    violation = only(by_hoist(load=31), ROUND)
    assert (violation.rule, violation.station, violation.step) == ("window", "In", 1)
    assert (violation.found, violation.limit, violation.cycle) == (30, 31, 2)
    violation = only(by_hoist(unload=21), ROUND)
    assert (violation.rule, violation.station, violation.step) == ("window", "Out", 3)
    assert (violation.found, violation.limit) == (20, 21)


def test_a_carrier_the_hoist_never_returns_is_told() -> None:
    messages = found(by_hoist(), THROUGH)
    assert any("no step lifts the carrier set down here at 60 s" in text for text in messages)


def test_carriers_that_wait_at_either_end_count() -> None:
    # Carried back at 15 of the next cycle, set down at 25 and lifted at 100: two circulate.
    early = table(100, (0, "In", "A"), (30, "A", "Out"), (15, "Out", "In"))
    seen = accepted(by_hoist(), early)
    assert seen.carriers_needed == 2
    assert rules(by_hoist(count=1), early) == ["carriers"]


def test_while_the_line_runs_out_empty_carriers_are_taken_away_by_hand() -> None:
    # The last load enters at 300; its carrier comes back to In at 370 and is not lifted
    # again. In the usual line loads enter until 400; 425 and 525 are the last to come back.
    seen = accepted(by_hoist(load=30, unload=20), ROUND)
    last = [stay for stay in seen.stays if stay.station == "In"][-1]
    assert (last.since, last.until) == (370, None)
    seen = accepted(usual_line(), usual_table())
    last_two = [stay for stay in seen.stays if stay.station == "Bench"][-2:]
    assert [(stay.since, stay.until) for stay in last_two] == [(425, None), (525, None)]


def test_two_recipes_share_the_bench_and_its_carriers() -> None:
    # Degree 1 of a mix: to A at 0, to B at 40; back from A at 55 (65), from B at 100 (110).
    problem = line(
        [{"name": "Bench", "kind": "load-unload"}, {"name": "A"}, {"name": "B"}],
        {"name": "R", "stage": [stage("A", 10)]},
        {"name": "S", "stage": [stage("B", 10)]},
        cycle={"mix": {"R": 1, "S": 1}},
        carriers={"count": 1},
    )
    # One carrier after the other on the Bench: lifted at 0, back at 40, lifted at 60.
    steps = [(0, "Bench", "A"), (30, "A", "Bench"), (60, "Bench", "B"), (90, "B", "Bench")]
    assert accepted(problem, table(120, *steps)).carriers_needed == 1
    assert verify(problem, table(120, *steps)) == ()


def test_carriers_that_do_not_come_back_run_out_however_many_there_are() -> None:
    # Two loads enter per cycle and one leaves: the other's carrier is lost each time.
    problem = usual_line(carriers={"count": 1000})
    steps = table(200, (0, "Bench", "A"), (55, "A", "B"), (100, "Bench", "A"), (120, "B", "Bench"))
    messages = [text for text in found(problem, steps) if "do not come back" in text]
    assert messages == [
        "Bench, step 1, cycle 1: carriers leave from here and do not come back; there are only 1000"
    ]


def test_carriers_long_on_their_way_are_counted_beyond_the_replay() -> None:
    # Ready again at 60 + 9945 = 10005: 101 circulate, while the replay takes a few cycles.
    violation = only(separate(carriers={"count": 100, "return_time": 9945}), THROUGH)
    assert violation.message == (
        "In, step 1, cycle 1: 101 carriers circulate, but there are only 100"
    )
    accepted(separate(carriers={"count": 101, "return_time": 9945}), THROUGH)


def test_a_buffer_without_limit_may_keep_carriers_for_many_cycles() -> None:
    # Set down at 25; 20,000 later, at 20,025, ready; lifted at 20,100: after 201 cycles.
    problem = usual_line(bench={"capacity": "unlimited", "min_occupation": 20_000})
    assert accepted(problem, usual_table()).carriers_needed == 202


def test_carriers_the_hoist_can_never_return_run_out() -> None:
    # Nothing takes the load from A to Out, so there is nothing to carry back.
    messages = found(by_hoist(count=1000), table(100, (0, "In", "A"), (60, "Out", "In")))
    assert (
        "In, step 1, cycle 1: carriers leave from here and do not come back; there are only 1000"
    ) in messages
