"""Where several hoists are, followed over time, and how far apart.

Checked against uniform acceleration worked out by hand: from rest, way = a t^2 / 2 and
v = a t (any textbook of mechanics).
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from hoistopt import (
    InputError,
    Problem,
    Schedule,
    Step,
    Travel,
    read_moves,
    replay,
    solve,
)
from hoistopt.checker.courses import approaches, courses
from hoistopt.problem import load_problem
from tests.helpers.hoists.hand_over import handed_over, line
from tests.helpers.hoists.two_hoists import TWO


def test_hoists_that_hand_over_in_time_are_clean() -> None:
    # A is at T until 8 and back at 0 by 12; B comes back from 8 to 4 in time if it leaves at 20.
    seen = replay(line(), handed_over(30, Travel(Fraction(20), "B", Fraction(4))))
    assert seen.clean
    # B leaves for T when A is back at 0, so the nearest is T and A's way: B rests at 8.
    (nearest,) = approaches(seen)
    assert nearest.distance == 4


def test_the_instant_and_both_positions_are_told() -> None:
    """B, done at 38, goes straight back and stands at T when A comes there in the next cycle."""
    seen = replay(line(), handed_over(30))
    (broken,) = seen.violations
    assert broken.rule == "clearance"
    assert "hoist A is at 4 m and hoist B at 4 m, 0 m apart; the clearance is 2 m" in broken.message
    assert (broken.found, broken.limit) == (0, 2)


@pytest.mark.parametrize(("leaves", "clean"), [(9, True), (8, True), (7, False)])
def test_a_clearance_short_by_one_tick_is_refused(leaves: int, clean: bool) -> None:
    """Both go left at speed 1: A from 4, at 8; B from 8, at `leaves`: 4 apart if at once."""
    seen = replay(line(clearance=4), handed_over(30, Travel(Fraction(leaves), "B", Fraction(4))))
    assert seen.clean is clean
    assert clean or seen.violations[0].rule == "clearance"


def test_positions_follow_uniform_acceleration() -> None:
    problem = line(acceleration=0.5)
    seen = replay(problem, handed_over(40, Travel(Fraction(25), "B", Fraction(4)), cycle=80))
    assert seen.clean
    loaded = next(way for way in courses(seen) if way.hoist == 0 and way.kind == "loaded")
    at = dict(loaded.points)
    # Lifted by 2; 2 to gain speed 1 on a way of 1, then 2 at top speed, and 2 to brake.
    assert at[Fraction(2)] == 0 and at[Fraction(3)] == Fraction(1, 4)
    assert at[Fraction(4)] == 1 and at[Fraction(6)] == 3 and at[Fraction(8)] == 4


def test_a_move_before_the_hoist_is_there_is_refused() -> None:
    seen = replay(line(), handed_over(30, Travel(Fraction(27), "B", Fraction(4))))
    assert any("too early" in v.message for v in seen.violations)


def test_a_hoist_leaves_the_track_nowhere() -> None:
    travels = Travel(Fraction(20), "A", Fraction(-5)), Travel(Fraction(30), "A", Fraction(0))
    seen = replay(line(), handed_over(30, *travels, Travel(Fraction(20), "B", Fraction(4))))
    assert any("it may be from -4 m to 10 m" in v.message for v in seen.violations)


def test_every_move_needs_its_hoist() -> None:
    schedule = handed_over(30)
    steps = (replace(schedule.steps[0], hoist=None), schedule.steps[1])
    with pytest.raises(InputError, match="step 1, hoist"):
        replay(line(), replace(schedule, steps=steps))


def test_the_example_is_proved_written_and_read_back(tmp_path: Path) -> None:
    """From the solver through both kinds of file to the checker, exactly."""
    from hoistopt.app.solve import solve as solve_line
    from hoistopt.base.text import json_text

    problem = load_problem(TWO)
    answer = solve_line(problem)
    assert answer.best is not None and answer.best.status == "optimal"
    schedule = answer.best.schedule
    assert schedule is not None and schedule.travels
    (tmp_path / "a.csv").write_text(answer.csv() or "", encoding="utf-8")
    (tmp_path / "a.json").write_text(json_text(answer.data()), encoding="utf-8")
    for name in ("a.csv", "a.json"):
        read = read_moves(tmp_path / name, problem)
        scale = read.ticks_per_unit / schedule.ticks_per_unit
        assert [t.to for t in read.travels] == [t.to for t in schedule.travels]
        assert [t.start for t in read.travels] == [t.start * scale for t in schedule.travels]
        assert replay(problem, read).clean
    one = Problem.from_data(
        {k: v for k, v in problem.to_data().items() if k != "track"}
        | {"hoist": problem.to_data()["hoist"][0]}
    )
    alone = solve(one)
    assert alone.cycle_time is not None and answer.best.cycle_time is not None
    assert answer.best.cycle_time <= alone.cycle_time


@pytest.mark.parametrize(("name", "last", "beyond"), [("B", -2, -3), ("A", 10, 11)])
def test_a_hoist_leaves_room_for_one_that_makes_no_move(name: str, last: int, beyond: int) -> None:
    """The track is from -4 to 12, and the other hoist stands at an end of it, 2 away."""
    steps = (
        Step(0, "In", "T", "Parts", 1, 0, None, name),
        Step(20, "T", "Out", "Parts", 1, 1, 0, name),
    )
    for to, room in ((last, True), (beyond, False)):
        travels = Travel(Fraction(32), name, Fraction(to)), Travel(Fraction(56), name, Fraction(0))
        seen = replay(line(), Schedule(80, Fraction(1), steps, travels))
        assert seen.clean is room


def test_a_hoist_lifts_nowhere_without_room_for_the_other() -> None:
    """The track begins at the station that B lifts from, and A has to stand beyond it."""
    data = line().to_data()
    data["track"]["from"] = 0
    steps = (
        Step(0, "In", "T", "Parts", 1, 0, None, "B"),
        Step(20, "T", "Out", "Parts", 1, 1, 0, "B"),
    )
    seen = replay(Problem.from_data(data), Schedule(80, Fraction(1), steps))
    assert any("it may be from 2 m to 12 m" in v.message for v in seen.violations)
