"""Tables typed in from a machine: what every step carries is found out. Times by hand."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from hoistopt.checker.grid.clock import Clock
from hoistopt.checker.grid.motion import Timetable
from hoistopt.checker.grid.route import Leg, Routes
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule
from tests.helpers.lines.checked_line import (
    SHORT_LONG,
    Move,
    accepted,
    bench,
    found,
    line,
    only,
    rules,
    stage,
    table,
    told,
    two_recipes,
)

pytestmark = pytest.mark.quick

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


def test_no_leg_of_a_way_stays_where_it_is() -> None:
    # Stage 1 in A or B, stage 2 in A or C: from A only to C.
    problem = line(
        [bench(), {"name": "A"}, {"name": "B"}, {"name": "C"}],
        {"name": "R", "stage": [stage(["A", "B"]), stage(["A", "C"])]},
    )
    clock = Clock(problem, Fraction(1))
    routes = Routes(problem, clock, [Timetable(problem, clock, problem.hoist)])
    assert routes.legs("A", "A") == ()
    assert routes.legs("A", "C") == (Leg("R", 1, 2),)
    assert routes.legs("B", "A") == (Leg("R", 1, 2),)
    assert routes.legs("Bench", "A") == (Leg("R", 0, 1),)
    assert routes.legs("A", "Bench") == (Leg("R", 2, 3),)
