"""Moves that cannot be, mixes that are not kept, data that make no sense."""

from __future__ import annotations

from fractions import Fraction as F
from itertools import pairwise
from typing import Any

import pytest

from hoistopt.base.errors import InputError
from hoistopt.checker import replay, verify
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule, Step
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


def test_a_move_no_recipe_makes_is_impossible() -> None:
    steps = table(100, (0, "Bench", "A"), (15, "B", "Bench"), (40, "B", "A"), (55, "A", "B"))
    violation = only(usual_line(), steps)
    assert violation.rule == "impossible move"
    assert violation.message == ("B, step 3, cycle 1: the move from B to A is part of no recipe")


def test_a_stage_left_out_is_told() -> None:
    problem = line(
        [{"name": "Bench", "kind": "load-unload"}, *({"name": n} for n in "ABC")],
        {"name": "R", "stage": [stage("A", 10), stage("B", 10), stage("C", 10)]},
    )
    right = [(0, "Bench", "A"), (30, "A", "B"), (50, "B", "C"), (75, "C", "Bench")]
    accepted(problem, table(100, *right))
    shortcut = table(100, (0, "Bench", "A"), (30, "A", "C"), (75, "C", "Bench"))
    assert only(problem, shortcut).message == (
        "A, step 2, cycle 1: moves a carrier to C, but after stage 1 its load goes to B "
        "(left out: stage 2)"
    )
    from_the_bench = table(100, (0, "Bench", "C"), (75, "C", "Bench"))
    assert only(problem, from_the_bench).message == (
        "Bench, step 1, cycle 1: moves a carrier to C, but a load of R goes to A first "
        "(left out: stages 1, 2)"
    )


def test_a_move_right_for_another_visit_to_the_tank_is_told() -> None:
    # A, B, C, B, D: from B straight to D on the first visit.
    problem = line(
        [{"name": "Bench", "kind": "load-unload"}, *({"name": n} for n in "ABCD")],
        {"name": "R", "stage": [stage(n, 5) for n in "ABCBD"]},
    )
    steps = table(100, (0, "Bench", "A"), (20, "A", "B"), (40, "B", "D"), (60, "D", "Bench"))
    assert only(problem, steps).message == (
        "B, step 3, cycle 1: moves a carrier to D, but after stage 2 its load goes to C "
        "(left out: stages 3, 4)"
    )


def test_a_move_to_where_the_carrier_stands_goes_nowhere() -> None:
    steps = table(100, (0, "Bench", "A"), (15, "B", "Bench"), (40, "A", "A"), (55, "A", "B"))
    assert found(usual_line(), steps)[0] == (
        "A, step 3, cycle 1: the move from A to A goes nowhere"
    )


def test_a_source_that_stays_empty_is_told_once_with_the_steps_that_wait_for_it() -> None:
    problem = line(
        [{"name": "Bench", "kind": "load-unload"}, *({"name": n} for n in "ABC")],
        {"name": "R", "stage": [stage("A", 10), stage("B", 10), stage("C", 10)]},
    )
    # Nothing brings a carrier to A.
    steps = table(100, (30, "A", "B"), (50, "B", "C"), (75, "C", "Bench"))
    messages = found(problem, steps)
    assert "A, step 1, cycle 1: there is never a carrier to lift here for this step" in messages
    assert any("the same holds for steps 2, 3" in text for text in messages)
    assert any("no load enters" in text for text in messages)
    assert len(messages) == 3


def test_stations_out_of_reach_are_told() -> None:
    problem = usual_line(hoist={"unreachable": ["B"]})
    messages = found(problem, usual_table())
    assert messages == [
        "A, step 3, cycle 1: the hoist cannot reach B",
        "B, step 2, cycle 2: the hoist cannot reach B",
    ]


def weighing(mass: Any, payload: Any) -> Problem:
    return line(
        [{"name": "Bench", "kind": "load-unload"}, {"name": "A"}],
        {"name": "R", "mass": mass, "stage": [stage("A", 10)]},
        hoist={"payload": payload},
    )


def test_a_load_heavier_than_the_payload_is_told_once() -> None:
    steps = table(100, (0, "Bench", "A"), (50, "A", "Bench"))
    accepted(weighing(80, 80), steps)
    violation = only(weighing(80.001, 80), steps)
    assert (violation.rule, violation.found, violation.limit) == (
        "impossible move",
        F(80001, 1000),
        80,
    )
    assert "a load of R weighs 80.001, the hoist lifts at most 80" in violation.message


def crossing(**rule: Any) -> Problem:
    """In, Rinse, Acid and Out in a row; from In straight to Acid."""
    return Problem.from_data(
        {
            "name": "By hand",
            "hoist": {"lift": 4, "lower": 4, "loaded": {"speed": 1}, "empty": {"speed": 1}},
            "station": [
                {"name": "In", "kind": "load", "position": 0},
                {"name": "Rinse", "position": 1},
                {"name": "Acid", "position": 2},
                {"name": "Out", "kind": "unload", "position": 3},
            ],
            "recipe": [{"name": "R", "stage": [stage("Acid", 10)]}],
            "crossing": [{"from": ["In"], "over": ["Rinse"], **rule}],
        }
    )


def test_a_load_is_not_carried_over_a_forbidden_bath() -> None:
    # In to Acid 4 + 2 + 4 = 10; Acid to Out 4 + 1 + 4 = 9.
    steps = table(100, (0, "In", "Acid"), (50, "Acid", "Out"))
    assert only(crossing(), steps).message == (
        "In, step 1, cycle 1: a load from In may not be carried over Rinse to Acid"
    )


def test_the_ends_of_a_way_are_not_crossed() -> None:
    problem = crossing(over=["Acid", "In"])
    accepted(problem, table(100, (0, "In", "Acid"), (50, "Acid", "Out")))


def test_dripping_long_enough_allows_to_cross() -> None:
    # In to Acid 4 + 7 + 2 + 4 = 17, so 10 to stand there until 27.
    seen = accepted(crossing(min_drip=7), table(100, (0, "In", "Acid"), (27, "Acid", "Out")))
    assert (seen.runs[0].drip, seen.runs[0].end) == (7, 17)
    violation = only(crossing(min_drip=7), table(100, (0, "In", "Acid"), (26, "Acid", "Out")))
    assert (violation.rule, violation.found, violation.limit) == ("window", 9, 10)


def mixed(**cycle: Any) -> Problem:
    return line(
        [{"name": "Bench", "kind": "load-unload", "capacity": 9}, {"name": "A"}, {"name": "B"}],
        {"name": "R", "stage": [stage("A", 10)]},
        {"name": "S", "stage": [stage("B", 10)]},
        cycle=cycle,
    )


def loads(*recipes: str) -> Schedule:
    """One load after the other, each 60."""
    tank = {"R": "A", "S": "B"}
    moves = []
    for number, recipe in enumerate(recipes):
        moves.append((60 * number, "Bench", tank[recipe], recipe))
        moves.append((60 * number + 30, tank[recipe], "Bench", recipe))
    return table(60 * len(recipes), *moves)


def test_the_mix_is_kept_in_whole_multiples() -> None:
    problem = mixed(mix={"R": 1, "S": 2})
    accepted(problem, loads("R", "S", "S"))
    accepted(problem, loads("R", "R", "S", "S", "S", "S"))
    violation = only(problem, loads("R", "S"))
    assert (violation.rule, violation.step, violation.station) == ("mix", 0, "")
    assert violation.message == (
        "1 of R, 1 of S enter per cycle; the mix asks for 1 of R, 2 of S or a multiple of that."
    )
    assert rules(problem, loads("R", "R", "S")) == ["mix"]
    assert rules(problem, loads("S", "S")) == ["mix"]


def test_the_order_of_entering_is_kept_round_and_round() -> None:
    problem = mixed(order=["R", "S", "S"])
    for asked in ("RSS", "SRS", "SSR", "SSRSSR"):
        accepted(problem, loads(*asked))
    violation = only(problem, loads(*"RRSSSS"))
    assert violation.message == (
        "Loads enter in the order R, R, S, S, S, S; asked for is R, S, S, over and over."
    )


def test_one_recipe_may_enter_any_number_of_times() -> None:
    problem = line(
        [{"name": "Bench", "kind": "load-unload"}, {"name": "A"}],
        {"name": "R", "stage": [stage("A", 10)]},
    )
    one = [(0, "Bench", "A"), (30, "A", "Bench"), (60, "Bench", "A"), (90, "A", "Bench")]
    accepted(problem, table(120, *one))


def test_a_table_without_loads_is_told() -> None:
    violation = only(usual_line(), Schedule(100, F(1), ()))
    assert violation.message == "No step lifts a carrier at a load station: no load enters."
    seen = replay(usual_line(), table(100, (55, "A", "B"), (15, "B", "Bench")))
    assert (seen.runs, seen.steady_cycles) == ((), 0)


def test_the_mean_cycle_time_lies_in_its_limits() -> None:
    for cycle in ({"min": 100}, {"max": 100}, {"min": 100, "max": 100}):
        accepted(usual_line(cycle=cycle), usual_table())
    assert only(usual_line(cycle={"min": 100.5}), usual_table()).message == (
        "The mean cycle time per set of loads is 100 s, at least 100.5 asked for."
    )
    assert rules(usual_line(cycle={"max": 99}), usual_table()) == ["cycle time"]
    # Of two sets per cycle of 120 each takes 60.
    accepted(mixed(mix={"R": 1}, min=60, max=60), loads("R", "R"))


def test_a_time_nobody_gave_is_told() -> None:
    problem = usual_line(
        station=[
            {"name": "Bench", "kind": "load-unload"},
            {"name": "A"},
            {"name": "B"},
            {"name": "Park", "kind": "park"},
        ]
    )
    steps = table(100, (0, "Bench", "A"), (15, "B", "Bench"), (55, "A", "B"), (80, "B", "Park"))
    assert "B, step 4, cycle 1: the time of the move from B to Park is not known" in found(
        problem, steps
    )


NONSENSE: dict[str, tuple[Schedule, str]] = {
    "cycle": (Schedule(0, F(1), ()), "cycle"),
    "ticks": (Schedule(100, F(0), ()), "ticks per unit"),
    "start": (table(100, (100, "Bench", "A")), "step 1, start"),
    "below": (table(100, (-1, "Bench", "A")), "step 1, start"),
    "source": (table(100, (0, "Nowhere", "A")), "step 1, from"),
    "target": (table(100, (0, "A", "Nowhere")), "step 1, to"),
    "recipe": (table(100, (0, "Bench", "A", "Q")), "step 1, recipe"),
    "load": (table(100, (0, "Bench", "A", "R", 0)), "step 1, load"),
    "stage": (table(100, (0, "Bench", "A", "R", 1, -1)), "step 1, stage"),
    "boundaries": (table(100, (0, "Bench", "A", "R", 1, 0, -1)), "step 1, boundaries"),
    "huge": (Schedule(10**400, F(1), ()), "cycle"),
    "many": (Schedule(100_000, F(1), tuple(Step(i, "A", "B") for i in range(50_001))), "steps"),
}


@pytest.mark.parametrize("case", NONSENSE)
def test_data_without_sense_are_refused_by_name(case: str) -> None:
    schedule, named = NONSENSE[case]
    with pytest.raises(InputError, match=named):
        verify(usual_line(), schedule)


@pytest.mark.parametrize("cycles", [0, -3, True, 2.5])
def test_a_number_of_cycles_without_sense_is_refused(cycles: Any) -> None:
    with pytest.raises(InputError, match="cycles"):
        replay(usual_line(), usual_table(), cycles)


def test_a_table_no_line_could_run_is_refused_before_it_takes_an_hour() -> None:
    # Two hundred places in each of 60 tanks, every dwell two hundred cycles long.
    names = [f"T{number}" for number in range(60)]
    problem = line(
        [
            {"name": "Bench", "kind": "load-unload", "capacity": "unlimited"},
            *({"name": name, "capacity": 200} for name in names),
        ],
        {"name": "R", "stage": [stage(name, 199_000) for name in names]},
    )
    way = ["Bench", *names, "Bench"]
    moves = [(16 * i, u, v) for i, (u, v) in enumerate(pairwise(way))]
    with pytest.raises(InputError, match="can be replayed"):
        verify(problem, table(1000, *moves))
