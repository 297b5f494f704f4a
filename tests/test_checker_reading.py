"""Tables typed in from a machine: what every step carries is found out. Times by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from checked_line import (
    Move,
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

from hoistopt.checker import replay
from hoistopt.checker.clock import Clock
from hoistopt.checker.route import Leg, Routes
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule


def bench(capacity: Any = "unlimited") -> dict[str, Any]:
    return {"name": "Bench", "kind": "load-unload", "capacity": capacity}


def told(schedule: Schedule, *columns: dict[str, Any]) -> Schedule:
    """The schedule with further columns, one dict per step in order of time."""
    steps = zip(schedule.steps, columns, strict=True)
    return replace(schedule, steps=tuple(replace(step, **more) for step, more in steps))


# -- columns ----------------------------------------------------------------------------

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


# -- tanks that serve several stages ------------------------------------------------------


def twice(*stages: dict[str, Any], **tank: Any) -> Problem:
    """Bench, A, B and the given stages."""
    return line([bench(), {"name": "A", **tank}, {"name": "B"}], {"name": "R", "stage": [*stages]})


def stages_of(problem: Problem, schedule: Schedule) -> list[int]:
    """The stage each step leaves, in order of time."""
    seen = accepted(problem, schedule)
    return [stage for _, stage in sorted({(run.step, run.stage) for run in seen.runs})]


def test_two_visits_to_two_tanks_are_told_apart_by_the_carriers_way() -> None:
    # A, B, A, B, one load at a time: from A at 20 and 60, from B at 40 and 80.
    problem = twice(stage("A", 10), stage("B", 10), stage("A", 10), stage("B", 10))
    moves: list[Move] = [(0, "Bench", "A"), (20, "A", "B"), (40, "B", "A"), (60, "A", "B")]
    moves.append((80, "B", "Bench"))
    assert stages_of(problem, table(100, *moves)) == [0, 1, 2, 3, 4]
    # The same cycle begun 50 later: now the way crosses the boundary.
    later = [((start + 50) % 100, u, v) for start, u, v in moves]
    assert stages_of(problem, table(100, *later)) == [3, 4, 0, 1, 2]


def test_two_visits_to_a_tank_of_several_places_are_told_apart_by_their_windows() -> None:
    # A for 100 to 130, B, A for 10 to 30, B; two places in A. Cycle 100: into A at 10, out
    # of it at 20 of the next cycle (110); B 30 to 40; A 50 to 65 (15); B 75 to 85.
    problem = twice(
        stage("A", 100, 130), stage("B", 5), stage("A", 10, 30), stage("B", 5), capacity=2
    )
    moves: list[Move] = [(0, "Bench", "A"), (20, "A", "B"), (40, "B", "A"), (65, "A", "B")]
    moves.append((85, "B", "Bench"))
    # The carrier that came first to A would leave last: only where order does not matter.
    assert rules(problem, table(100, *moves)) != []
    free = twice(
        stage("A", 100, 130),
        stage("B", 5),
        stage("A", 10, 30),
        stage("B", 5),
        capacity=2,
        order="any",
    )
    assert stages_of(free, table(100, *moves)) == [0, 1, 2, 3, 4]


# -- recipes left out ---------------------------------------------------------------------


def two_recipes(r: dict[str, Any], s: dict[str, Any], **cycle: Any) -> Problem:
    """Both through A, on to B or straight back."""
    return line(
        [bench(), {"name": "A"}, {"name": "B"}, {"name": "C"}],
        {"name": "R", "stage": [r]},
        {"name": "S", "stage": [s]},
        cycle=cycle or {"mix": {"R": 1, "S": 1}},
    )


# Two loads of 60 and 60: in A for 20 and for 40.
SHORT_LONG = table(
    120, (0, "Bench", "A"), (30, "A", "Bench"), (50, "Bench", "A"), (100, "A", "Bench")
)


def test_recipes_are_told_apart_by_their_ways() -> None:
    problem = line(
        [bench(), {"name": "A"}, {"name": "B"}, {"name": "C"}],
        {"name": "R", "stage": [stage("A", 5), stage("B", 5)]},
        {"name": "S", "stage": [stage("A", 5), stage("C", 5)]},
        cycle={"order": ["S", "R"]},
    )
    moves: list[Move] = [(0, "Bench", "A"), (20, "A", "C"), (40, "C", "Bench")]
    moves += [(60, "Bench", "A"), (80, "A", "B"), (100, "B", "Bench")]
    seen = accepted(problem, table(120, *moves))
    assert [run.recipe for run in seen.runs if run.cycle == 1] == ["S"] * 3 + ["R"] * 3


def test_recipes_are_told_apart_by_their_windows() -> None:
    seen = accepted(two_recipes(stage("A", 5, 20), stage("A", 25, 40)), SHORT_LONG)
    assert [run.recipe for run in seen.runs if run.cycle == 1] == ["R", "R", "S", "S"]
    seen = accepted(two_recipes(stage("A", 25, 40), stage("A", 5, 20)), SHORT_LONG)
    assert [run.recipe for run in seen.runs if run.cycle == 1] == ["S", "S", "R", "R"]


def test_recipes_are_told_apart_by_the_mix() -> None:
    # Only S allows 40; both allow 20. Of R there must be one.
    problem = two_recipes(stage("A", 5, 20), stage("A", 5, 40))
    seen = accepted(problem, SHORT_LONG)
    assert [run.recipe for run in seen.runs if run.cycle == 1] == ["R", "R", "S", "S"]


def test_recipes_that_cannot_be_told_apart_are_asked_for() -> None:
    problem = two_recipes(stage("A", 5, 40), stage("A", 5, 40))
    messages = found(problem, SHORT_LONG)
    assert messages == [
        f"Bench, step {step}, cycle 1: several recipes go this way; the table must say in a column "
        "recipe which load it is"
        for step in (1, 3)
    ]
    named = told(SHORT_LONG, *({"recipe": name} for name in "RRSS"))
    accepted(problem, named)


# -- several places, several tanks --------------------------------------------------------


def test_tanks_side_by_side_take_turns() -> None:
    # Each stands 130 in A or C while the bench is left every 100.
    problem = line(
        [bench(), {"name": "A"}, {"name": "C"}],
        {"name": "R", "stage": [stage(["A", "C"], 130, 150)]},
    )
    moves: list[Move] = [(0, "Bench", "A"), (100, "Bench", "C")]
    moves += [(150, "A", "Bench"), (50, "C", "Bench")]  # 10 to 150, and 110 to 250
    seen = accepted(problem, table(200, *moves))
    assert {stay.dwell for stay in seen.stays if stay.station in "AC"} == {140}


def test_the_fewest_cycles_that_meet_the_minimum_are_read() -> None:
    for least, dwell in ((50, 50), (51, 150), (150, 150), (151, 250)):
        problem = line(
            [bench(), {"name": "A", "capacity": 3}], {"name": "R", "stage": [stage("A", least)]}
        )
        seen = accepted(problem, table(100, (0, "Bench", "A"), (60, "A", "Bench")))
        assert {stay.dwell for stay in seen.stays if stay.station == "A"} == {dwell}
        # No carrier is lifted early in the fill.
        assert all(stay.dwell == dwell for stay in seen.stays if stay.station == "A")


def test_where_order_does_not_matter_a_short_stay_may_overtake_a_long_one() -> None:
    # R stands 110 (10 to 120), S stands 20 (60 to 80), both in A.
    tank = {"name": "A", "capacity": 2}
    recipes = (
        {"name": "R", "stage": [stage("A", 100, 120), stage("B", 0)]},
        {"name": "S", "stage": [stage("A", 10, 30), stage("C", 0)]},
    )
    moves: list[Move] = [(0, "Bench", "A", "R"), (50, "Bench", "A", "S"), (80, "A", "C")]
    moves += [(95, "C", "Bench"), (120, "A", "B"), (140, "B", "Bench")]

    def problem(order: str) -> Problem:
        stations = [bench(), {**tank, "order": order}, {"name": "B"}, {"name": "C"}]
        return line(stations, *recipes, cycle={"mix": {"R": 1, "S": 1}})

    seen = accepted(problem("any"), table(200, *moves))
    assert {stay.dwell for stay in seen.stays if stay.station == "A"} == {110, 20}
    assert rules(problem("fifo"), table(200, *moves)) == ["order of leaving"]


def test_an_order_that_must_be_kept_is_read_as_kept() -> None:
    # R from 10 to 120; S from 60 to 70, before R, or in its turn to 270: 1 too long.
    problem = line(
        [bench(), {"name": "A", "capacity": 3}],
        {"name": "R", "stage": [stage("A", 50, 110)]},
        {"name": "S", "stage": [stage("A", 10, 209)]},
        cycle={"mix": {"R": 1, "S": 1}},
    )
    moves: list[Move] = [(0, "Bench", "A", "R"), (50, "Bench", "A", "S"), (70, "A", "Bench", "S")]
    violation = only(problem, table(200, *moves, (120, "A", "Bench", "R")))
    assert (violation.rule, violation.found, violation.limit) == ("window", 210, 209)


# -- columns in part, or wrong -------------------------------------------------------------


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
    assert any("dwell 150 s, at most 149 s allowed" in text for text in messages)


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


def test_no_leg_of_a_way_stays_where_it_is() -> None:
    # Stage 1 in A or B, stage 2 in A or C: from A only to C.
    problem = line(
        [bench(), {"name": "A"}, {"name": "B"}, {"name": "C"}],
        {"name": "R", "stage": [stage(["A", "B"]), stage(["A", "C"])]},
    )
    routes = Routes(problem, Clock(problem, Fraction(1)))
    assert routes.legs("A", "A") == ()
    assert routes.legs("A", "C") == (Leg("R", 1, 2),)
    assert routes.legs("B", "A") == (Leg("R", 1, 2),)
    assert routes.legs("Bench", "A") == (Leg("R", 0, 1),)
    assert routes.legs("A", "Bench") == (Leg("R", 2, 3),)


def test_drips_that_differ_between_recipes_are_allowed_for() -> None:
    # R goes to A, S to B and A. R drips 5 over A: lifted at 30, at Out at 45, carried back
    # at once. S does not drip: lifted at 130, at Out at 140, carried back at once. One
    # carrier does it all; were S thought to drip, its carrier would come too late.
    problem = line(
        [
            {"name": "In", "kind": "load"},
            {"name": "A"},
            {"name": "B"},
            {"name": "Out", "kind": "unload", "capacity": "unlimited"},
        ],
        {"name": "R", "stage": [stage("A", 20, 20, drip=5)]},
        {"name": "S", "stage": [stage("B", 10), stage("A", 40, 40)]},
        cycle={"mix": {"R": 1, "S": 1}},
        carriers={"return": "hoist"},
    )
    moves: list[Move] = [(0, "In", "A"), (30, "A", "Out"), (45, "Out", "In"), (60, "In", "B")]
    moves += [(80, "B", "A"), (130, "A", "Out"), (140, "Out", "In")]
    assert accepted(problem, table(160, *moves)).carriers_needed == 1


def test_two_loads_with_one_number_are_told() -> None:
    problem = line([bench(), {"name": "A"}], {"name": "R", "stage": [stage("A", 10)]})
    moves: list[Move] = [(0, "Bench", "A", "R", 1), (30, "A", "Bench", "R", 1)]
    moves += [(60, "Bench", "A", "R", 1), (90, "A", "Bench", "R", 1)]
    assert found(problem, table(120, *moves)) == [
        "Bench, step 3, cycle 1: the table says load 1, but the carrier there has 2",
        "A, step 4, cycle 1: the table says load 1, but the carrier there has 2",
    ]
