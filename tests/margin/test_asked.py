"""Margin asked for that no schedule keeps: what is told could be had, and can be."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from hoistopt import Problem, solve, what_holds
from hoistopt.base.clock import Clock
from hoistopt.margin.asked import margin_conflict
from tests.reference.asked import without_margin
from tests.reference.brute import least_cycle

pytestmark = pytest.mark.quick


def two_tanks(margin: object) -> Problem:
    """Moves of 10 s, 6 s of empty travel, windows of 20 s: a cycle of at most 60 s."""
    names = ["Dock", "A", "B"]
    pairs = [(a, b) for a in names for b in names if a != b]
    return Problem.from_data(
        {
            "name": "Two tanks",
            "tick": 1,
            "margin": margin,
            "station": [
                {"name": "Dock", "kind": "load-unload"},
                {"name": "A"},
                {"name": "B"},
            ],
            "recipe": [
                {
                    "name": "R",
                    "stage": [
                        {"station": "A", "min": 20, "max": 40},
                        {"station": "B", "min": 20, "max": 40},
                    ],
                }
            ],
            "cycle": {"max": 60},
            "times": {
                "loaded": [{"from": a, "to": b, "time": 10} for a, b in pairs],
                "empty": [{"from": a, "to": b, "time": 6} for a, b in pairs],
            },
        }
    )


def test_a_margin_that_leaves_no_schedule_is_told_and_how_much_could_be_had() -> None:
    asked = two_tanks({"slack": 0, "float": 6})
    assert least_cycle(asked) is None
    assert least_cycle(without_margin(asked)) is not None
    result = solve(asked)
    assert result.status == "infeasible"
    assert result.reason is not None
    assert result.reason.startswith("The margin asked for cannot be kept")
    found = margin_conflict(asked, 1, Clock())
    assert found is not None and found.proven and 0 < found.kept < 1
    # As much as is told can be had, by brute force, and a hundredth more cannot.
    for more, possible in ((0, True), (Fraction(1, 100), False)):
        part = 6 * (found.kept + more)
        line = two_tanks({"slack": 0, "float": Decimal(part.numerator) / part.denominator})
        assert (least_cycle(line) is not None) is possible


def test_a_line_without_any_schedule_is_not_blamed_on_its_margin() -> None:
    asked = two_tanks({"slack": 0, "float": 6}).to_data()
    asked["cycle"] = {"max": 40}
    problem = Problem.from_data(asked)
    assert margin_conflict(problem, 1, Clock()) is None
    assert "margin" not in (solve(problem).reason or "")


def test_nothing_is_asked_of_most_lines() -> None:
    assert margin_conflict(without_margin(two_tanks(1)), 1, Clock()) is None


def test_what_holds_the_cycle_tells_float_apart_from_the_work_of_the_hoist() -> None:
    data = two_tanks({"slack": 2, "float": 3}).to_data()
    data.pop("cycle")
    asked = Problem.from_data(data)
    schedule = solve(asked).schedule
    assert schedule is not None
    held = what_holds(asked, schedule)
    assert held.total / held.cycles == held.exact == schedule.cycle_time
    carried = [piece.time for piece in held.pieces if piece.what == "loaded"]
    assert carried and set(carried) == {10}
    assert {piece.time for piece in held.pieces if piece.what == "float"} == {3}
    assert any("float kept after the move from" in piece.words for piece in held.pieces)
