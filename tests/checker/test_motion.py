"""The checker's own physics, against textbook formulas worked out by hand.

Uniform acceleration: a distance d takes d/v + v/a when the top speed v is reached, which
takes d >= v*v/a, and 2*sqrt(d/a) when it is not. Any textbook of mechanics; no source
looked up for this.
"""

from __future__ import annotations

from decimal import Decimal, localcontext
from fractions import Fraction as F
from typing import Any

import pytest

from hoistopt.checker.grid.clock import Clock
from hoistopt.checker.grid.motion import Timetable
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule
from tests.helpers.lines.checked_line import accepted, only, stage, table

pytestmark = pytest.mark.quick


def line_of(
    loaded: dict[str, Any],
    empty: dict[str, Any] | None = None,
    positions: tuple[Any, ...] = (0, 1),
    **parts: Any,
) -> Problem:
    """In, A, B, ... at the given positions; lift 6, lower 5."""
    names = ["In", "A", "B", "C"][: len(positions)]
    stations = [{"name": n, "position": p} for n, p in zip(names, positions, strict=True)]
    stations[0]["kind"] = "load-unload"
    for name, more in parts.pop("override", {}).items():
        stations[names.index(name)].update(more)
    hoist = {"lift": 6, "lower": 5, "loaded": loaded, "empty": empty or loaded}
    recipe = {"name": "R", "stage": [stage(n) for n in names[1:]]}
    return Problem.from_data(
        {"name": "By hand", "hoist": hoist, "station": stations, "recipe": [recipe], **parts}
    )


def loaded_time(problem: Problem, source: str, target: str, drip: int = 0) -> F:
    clock = Clock(problem, F(1))
    parts = Timetable(problem, clock, problem.hoist).loaded(source, target, clock.exact(drip))
    assert parts is not None
    return clock.fraction(parts.total)


def empty_time(problem: Problem, source: str, target: str) -> F:
    clock = Clock(problem, F(1))
    time = Timetable(problem, clock, problem.hoist).empty(source, target)
    assert time is not None
    return clock.fraction(time)


def test_without_acceleration_travel_is_distance_over_speed() -> None:
    problem = line_of({"speed": 0.3}, {"speed": 0.7})
    assert loaded_time(problem, "In", "A") == 6 + F(10, 3) + 5
    assert empty_time(problem, "A", "In") == F(10, 7)


def test_a_long_way_reaches_top_speed() -> None:
    # 3 / 0.5 + 0.5 / 0.2 = 6 + 2.5; it takes 1.25 to reach 0.5.
    problem = line_of({"speed": 0.5, "acceleration": 0.2}, positions=(0, 3))
    assert empty_time(problem, "In", "A") == F(17, 2)


def test_a_short_way_does_not_reach_top_speed() -> None:
    # 2 * sqrt(0.8 / 0.2) = 4, exactly.
    problem = line_of({"speed": 0.5, "acceleration": 0.2}, positions=(0, 0.8))
    assert empty_time(problem, "In", "A") == 4


def test_the_two_profiles_meet_where_top_speed_is_just_reached() -> None:
    # 1.25 / 0.5 + 0.5 / 0.2 = 5 = 2 * sqrt(1.25 / 0.2).
    problem = line_of({"speed": 0.5, "acceleration": 0.2}, positions=(0, 1.25))
    assert empty_time(problem, "In", "A") == 5


@pytest.mark.parametrize("distance", [Decimal("0.1"), Decimal("0.37"), Decimal("1.249999")])
def test_a_root_without_end_is_right_to_forty_decimals(distance: Decimal) -> None:
    problem = line_of({"speed": 0.5, "acceleration": 0.2}, positions=(0, distance))
    with localcontext() as context:
        context.prec = 60
        exact = 2 * (distance / Decimal("0.2")).sqrt()
        seen = empty_time(problem, "In", "A")
        assert abs(F(exact) - seen) < F(1, 10**40)


def test_settling_follows_every_arrival_by_travel() -> None:
    problem = line_of({"speed": 1, "settling": 2}, {"speed": 1, "settling": 3})
    assert loaded_time(problem, "In", "A") == 6 + 1 + 2 + 5
    assert empty_time(problem, "In", "A") == 1 + 3


def test_a_station_may_have_lift_lower_and_settling_of_its_own() -> None:
    override = {"In": {"lift": 9}, "A": {"lower": 8, "settling": 0.5}}
    problem = line_of({"speed": 1, "settling": 2}, override=override)
    assert loaded_time(problem, "In", "A") == 9 + 1 + F(1, 2) + 8
    assert empty_time(problem, "In", "A") == F(3, 2)
    assert loaded_time(problem, "A", "In") == 6 + 1 + 2 + 5


def test_no_distance_means_no_travel_and_no_settling() -> None:
    problem = line_of({"speed": 1, "settling": 2}, positions=(0, 0))
    assert loaded_time(problem, "In", "A") == 6 + 5
    assert empty_time(problem, "In", "A") == 0
    assert empty_time(problem, "A", "A") == 0


def test_a_table_entry_takes_the_place_of_physics_and_drip_is_added() -> None:
    times = {
        "loaded": [{"from": "In", "to": "A", "time": 17.5}],
        "empty": [{"from": "A", "to": "In", "time": 4.25}, {"from": "A", "to": "A", "time": 1}],
    }
    problem = line_of({"speed": 1}, times=times)
    assert loaded_time(problem, "In", "A") == F(35, 2)
    assert loaded_time(problem, "In", "A", drip=3) == F(41, 2)
    assert loaded_time(problem, "A", "In", drip=3) == 6 + 3 + 1 + 5
    assert empty_time(problem, "A", "In") == F(17, 4)
    assert empty_time(problem, "A", "A") == 1
    assert empty_time(problem, "In", "A") == 1


def test_the_parts_of_a_move_add_up() -> None:
    problem = line_of({"speed": 0.5, "acceleration": 0.2, "settling": 1}, positions=(0, 0.8))
    seen = accepted(problem, table(60, (0, "In", "A"), (30, "A", "In")))
    run = seen.runs[0]
    assert (run.lift, run.drip, run.travel, run.lower) == (6, 0, 5, 5)
    assert run.end - run.start == 16


def test_thirds_are_exact_on_the_limit() -> None:
    # Lifted at 0, set down after 6 + 10/3 + 5 = 14 1/3 = 43 ticks of a third; at most 15.
    problem = line_of({"speed": 0.3})
    limited = problem.to_data()
    limited["recipe"][0]["stage"][0]["max"] = 15
    limited = Problem.from_data(limited)
    accepted(limited, table(180, (0, "In", "A"), (43 + 45, "A", "In"), ticks=3))
    violation = only(limited, table(180, (0, "In", "A"), (43 + 46, "A", "In"), ticks=3))
    assert (violation.found, violation.limit) == (F(46, 3), 15)


def test_a_lift_a_hair_before_the_hoist_arrives_is_told() -> None:
    # In and A 0.1 apart: 2 * sqrt(0.5) = 1.4142135..., so the move takes 12.4142135...
    problem = line_of({"speed": 0.5, "acceleration": 0.2}, positions=(0, 0.1))

    def lifted_at(millionths: int) -> Schedule:
        return table(10**8, (0, "In", "A"), (millionths, "A", "In"), ticks=10**6)

    accepted(problem, lifted_at(12_414_214))
    violation = only(problem, lifted_at(12_414_213))
    assert violation.rule == "hoist in two places"
    assert violation.message.endswith("(0.000001 s too early)")
