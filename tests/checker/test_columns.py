"""What a table says about its steps: believed, held to what happens. Times by hand."""

from __future__ import annotations

from typing import Any

import pytest

from hoistopt.checker import replay
from tests.helpers.lines.checked_line import (
    SHORT_LONG,
    Move,
    accepted,
    bench,
    found,
    line,
    only,
    stage,
    table,
    told,
    two_recipes,
    usual_line,
    usual_table,
)

pytestmark = pytest.mark.quick

COLUMNS: tuple[dict[str, Any], ...] = (
    {"recipe": "R", "load": 1, "stage": 0},
    {"recipe": "R", "load": 1, "stage": 2, "boundaries": 1},
    {"recipe": "R", "load": 1, "stage": 1, "boundaries": 0},
)


def test_columns_that_are_right_change_nothing() -> None:
    plain = accepted(usual_line(), usual_table())
    hinted = accepted(usual_line(), told(usual_table(), *COLUMNS))
    assert plain == hinted


# Column, what the second step (B to Bench) states, what it finds.
WRONG_COLUMNS = [("load", 7, 1), ("stage", 1, 2), ("boundaries", 0, 1)]


@pytest.mark.parametrize(("column", "stated", "seen"), WRONG_COLUMNS)
def test_a_column_that_does_not_agree_with_what_happens_is_told(
    column: str, stated: int, seen: int
) -> None:
    first, second, third = COLUMNS
    violation = only(usual_line(), told(usual_table(), first, {**second, column: stated}, third))
    assert violation.rule == "impossible move"
    assert violation.message == (
        f"B, step 2, cycle 2: the table says {column} {stated}, but the carrier there has {seen}"
    )


def test_a_recipe_that_does_not_go_this_way_is_told() -> None:
    problem = line(
        [bench(), {"name": "A"}, {"name": "B"}],
        {"name": "R", "stage": [stage("A", 10)]},
        {"name": "S", "stage": [stage("B", 10)]},
        cycle={"mix": {"R": 1, "S": 1}},
    )
    moves: list[Move] = [(0, "Bench", "A", "R"), (30, "A", "Bench", "R")]
    moves += [(60, "Bench", "B", "S"), (90, "B", "Bench", "R")]
    violation = only(problem, table(120, *moves))
    assert violation.message == (
        "B, step 4, cycle 1: the table says recipe R, but the carrier there has S"
    )


def test_stated_boundaries_decide_where_several_are_possible() -> None:
    problem = line([bench(), {"name": "A", "capacity": 3}], {"name": "R", "stage": [stage("A", 5)]})
    for boundaries, dwell in ((None, 50), (0, 50), (1, 150), (2, 250)):
        last = (60, "A", "Bench", None, None, None, boundaries)
        seen = accepted(problem, table(100, (0, "Bench", "A"), last))
        assert {stay.dwell for stay in seen.stays if stay.station == "A"} == {dwell}


def test_boundaries_are_believed_where_order_does_not_matter_too() -> None:
    tank = {"name": "A", "capacity": 3, "order": "any"}
    problem = line([bench(), tank], {"name": "R", "stage": [stage("A", 5)]})
    for boundaries, dwell in ((0, 50), (1, 150), (2, 250)):
        last = (60, "A", "Bench", None, None, None, boundaries)
        seen = accepted(problem, table(100, (0, "Bench", "A"), last))
        assert {stay.dwell for stay in seen.stays if stay.station == "A"} == {dwell}


def test_boundaries_are_believed_in_a_buffer_without_limit() -> None:
    # Set down at Out at 40, carried back at 60 of the same cycle or of the next.
    stations = [
        {"name": "In", "kind": "load"},
        {"name": "A"},
        {"name": "Out", "kind": "unload", "capacity": "unlimited"},
    ]
    problem = line(stations, {"name": "R", "stage": [stage("A", 5)]}, carriers={"return": "hoist"})
    for boundaries, carriers in ((None, 1), (0, 1), (1, 2), (5, 6)):
        back = (60, "Out", "In", None, None, None, boundaries)
        steps = table(100, (0, "In", "A"), (30, "A", "Out"), back)
        assert accepted(problem, steps).carriers_needed == carriers


def test_loads_may_be_numbered_on_some_steps_only() -> None:
    problem = line([bench(), {"name": "A"}], {"name": "R", "stage": [stage("A", 10)]})
    moves: list[Move] = [(0, "Bench", "A", "R", 2), (30, "A", "Bench"), (60, "Bench", "A", "R", 1)]
    seen = accepted(problem, table(120, *moves, (90, "A", "Bench")))
    assert [run.load for run in seen.runs if run.cycle == 1] == [2, 2, 1, 1]
    # In order of coming where there are several places: 150 there, not 50.
    tank = {"name": "A", "capacity": 2}
    problem = line([bench(), tank], {"name": "R", "stage": [stage("A", 150)]})
    accepted(problem, table(100, (0, "Bench", "A", "R", 1), (60, "A", "Bench")))
    # And beside recipes that only their column tells apart.
    columns = ({"recipe": "R", "load": 1}, {"recipe": "R"}, {"recipe": "S"}, {"recipe": "S"})
    accepted(two_recipes(stage("A", 5), stage("A", 5)), told(SHORT_LONG, *columns))


def test_a_load_station_with_a_wrong_stage_beside_it_still_brings_loads() -> None:
    first, second, third = COLUMNS
    violation = only(usual_line(), told(usual_table(), {**first, "stage": 1}, second, third))
    assert violation.message == (
        "Bench, step 1, cycle 1: the table says stage 1, but the carrier there has 0"
    )


def test_loads_numbered_crosswise_are_told_instead_of_crashes_nobody_would_see() -> None:
    # One load after the other; the second steps of the two name each other's load.
    problem = line([bench(), {"name": "A"}], {"name": "R", "stage": [stage("A", 10)]})
    moves: list[Move] = [(0, "Bench", "A", "R", 1), (30, "A", "Bench", "R", 2)]
    moves += [(60, "Bench", "A", "R", 2), (90, "A", "Bench", "R", 1)]
    assert found(problem, table(120, *moves)) == [
        "A, step 2, cycle 1: the table says load 2, but the carrier there has 1",
        "A, step 4, cycle 1: the table says load 1, but the carrier there has 2",
    ]


def test_stated_boundaries_are_believed_beside_other_faults() -> None:
    problem = line(
        [bench(), {"name": "A", "capacity": 3}], {"name": "R", "stage": [stage("A", 5, 149)]}
    )
    moves: list[Move] = [(0, "Bench", "A"), (60, "A", "Bench", None, None, None, 1)]
    violation = only(problem, table(100, *moves))
    assert (violation.found, violation.limit) == (150, 149)
    messages = found(problem, table(100, *moves, (80, "A", "A")))
    assert "A, step 3, cycle 1: the move from A to A goes nowhere" in messages
    assert any("dwell 150 s, max. 149 s (" in text for text in messages)


def test_stated_recipes_are_believed_beside_other_faults() -> None:
    # The carrier of R is lifted at 60 of the cycle after, that of S set down at 60: too early.
    problem = two_recipes(stage("A", 5), stage("A", 5))
    moves: list[Move] = [(0, "Bench", "A", "R"), (60, "A", "Bench", "R")]
    moves += [(50, "Bench", "A", "S"), (100, "A", "Bench", "S")]
    violation = only(problem, table(150, *moves))
    assert violation.rule == "double occupation"
    assert "set down at 60 s while a carrier stands there until 60 s" in violation.message


def test_a_lift_before_the_set_down_is_read_as_the_next_cycles() -> None:
    # Set down in A at 10 and lifted at 9: of the next cycle, so 99 there.
    seen = replay(usual_line(a={"station": "A", "min": 30, "max": 60}), usual_table(a=9, b=50))
    assert {stay.dwell for stay in seen.stays if stay.station == "A" and stay.until} == {99}


def test_two_loads_with_one_number_are_told() -> None:
    problem = line([bench(), {"name": "A"}], {"name": "R", "stage": [stage("A", 10)]})
    moves: list[Move] = [(0, "Bench", "A", "R", 1), (30, "A", "Bench", "R", 1)]
    moves += [(60, "Bench", "A", "R", 1), (90, "A", "Bench", "R", 1)]
    assert found(problem, table(120, *moves)) == [
        "Bench, step 3, cycle 1: the table says load 1, but the carrier there has 2",
        "A, step 4, cycle 1: the table says load 1, but the carrier there has 2",
    ]
