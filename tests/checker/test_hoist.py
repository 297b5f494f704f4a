"""The hoist is in one place at a time. Times by hand, see checked_line."""

from __future__ import annotations

from typing import Any

import pytest

from hoistopt.problem import Problem
from tests.helpers.lines.checked_line import (
    EMPTY,
    LOADED,
    accepted,
    every_pair,
    only,
    rules,
    stage,
    table,
    usual_line,
    usual_table,
)

pytestmark = pytest.mark.quick

ANY_DWELL = {"station": "A", "min": 0, "max": None}


def test_a_lift_the_moment_the_hoist_arrives_is_accepted() -> None:
    # Set down in A at 10, at B at 15.
    accepted(usual_line(), usual_table(b=15))


def test_a_lift_one_tick_before_the_hoist_can_be_there_is_told_with_both_times() -> None:
    violation = only(usual_line(), usual_table(b=14))
    assert violation.rule == "hoist in two places"
    assert (violation.station, violation.step, violation.cycle) == ("B", 2, 2)
    assert (violation.found, violation.limit) == (114, 115)
    assert violation.message == (
        "B, step 2, cycle 2: lifting starts at 114 s, but the hoist ends step 1 at A at 110 s and "
        "needs 5 s to get here, so it can lift from 115 s on (1 s too early)"
    )


def test_the_next_cycle_begins_no_earlier_than_the_hoist_is_back() -> None:
    # A left at 85: in B at 95, back at the Bench at 100. In B 95 to 140.
    accepted(usual_line(a=ANY_DWELL), usual_table(a=85, b=40))
    violation = only(usual_line(a=ANY_DWELL), usual_table(a=86, b=40))
    assert (violation.rule, violation.station, violation.cycle) == (
        "hoist in two places",
        "Bench",
        2,
    )
    assert (violation.found, violation.limit) == (100, 101)


def test_a_move_counts_in_full() -> None:
    # A 20 s move from B keeps the hoist until 35, and 5 s to A: 40.
    slow = {"loaded": [*every_pair(["Bench", "A"], LOADED), *_moves_of_b(20)], "empty": _empty()}
    accepted(usual_line(times=slow), usual_table(a=40, b=15))
    slower = {"loaded": [*every_pair(["Bench", "A"], LOADED), *_moves_of_b(21)], "empty": _empty()}
    violation = only(usual_line(times=slower), usual_table(a=40, b=15))
    assert (violation.found, violation.limit) == (140, 141)


def _empty() -> list[dict[str, Any]]:
    return every_pair(["Bench", "A", "B"], EMPTY)


def _moves_of_b(time: int) -> list[dict[str, Any]]:
    return [{"from": "A", "to": "B", "time": LOADED}, {"from": "B", "to": "Bench", "time": time}]


def test_two_steps_at_one_time_put_the_hoist_in_two_places() -> None:
    steps = [(0, "Bench", "A"), (55, "A", "B"), (55, "B", "Bench")]
    assert "hoist in two places" in rules(usual_line(), table(100, *steps))


def three_tanks(direct: int) -> Problem:
    """Bench, A, B, C; straight from A to B the empty hoist needs `direct`."""
    names = ["Bench", "A", "B", "C"]
    empty = [e for e in every_pair(names, EMPTY) if (e["from"], e["to"]) != ("A", "B")]
    return Problem.from_data(
        {
            "name": "By hand",
            "station": [{"name": "Bench", "kind": "load-unload"}, *({"name": n} for n in "ABC")],
            "recipe": [{"name": "R", "stage": [stage(n) for n in "ABC"]}],
            "times": {
                "loaded": every_pair(names, LOADED),
                "empty": [*empty, {"from": "A", "to": "B", "time": direct}],
            },
        }
    )


def test_while_steps_are_skipped_the_hoist_travels_straight_to_the_next_lift() -> None:
    # In the second cycle C is still empty: from A, free at 110, straight to B for 140.
    # Later it goes A, C, Bench, B, which takes less than the direct way would.
    steps = table(100, (0, "Bench", "A"), (20, "C", "Bench"), (40, "B", "C"), (70, "A", "B"))
    accepted(three_tanks(30), steps)
    violation = only(three_tanks(31), steps)
    assert (violation.station, violation.step, violation.cycle) == ("B", 3, 2)
    assert (violation.found, violation.limit) == (140, 141)
