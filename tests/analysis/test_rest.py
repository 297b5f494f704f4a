"""A tank that rests in what explains a cycle: why, levers, conflict, order, pictures."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest

import hoistopt
from hoistopt import Between, HoistAt, LineState, Resting, Result, Standing
from hoistopt.problem import Problem
from tests.helpers.command import PROBLEMS
from tests.helpers.lines.checked_line import bench, stage
from tests.helpers.lines.checked_line import line as hand_made


@cache
def line() -> Problem:
    return hoistopt.load_problem(PROBLEMS / "resting_tank.toml")


@cache
def solved() -> Result:
    return hoistopt.solve(line(), workers=1)


def with_rest(rest: int) -> Problem:
    stations = [
        {**station, "min_rest": rest} if station["name"] == "Hot degreaser" else station
        for station in line().to_data()["station"]
    ]
    return Problem.from_data({**line().to_data(), "station": stations})


def test_why_names_the_rest_and_its_figures_add_up() -> None:
    assert solved().schedule is not None
    held = hoistopt.what_holds(line(), solved().schedule)
    pieces = {piece.words: piece.time for piece in held.pieces}
    assert pieces == {"Hot degreaser minimum": 120, "Hot degreaser rest": 110}
    assert held.total == solved().cycle_time == 230
    assert held.turn_floor == 230  # a bound without search


def test_a_shorter_rest_is_a_lever_by_as_much_as_it_falls() -> None:
    found = hoistopt.find_levers(line(), workers=1, time_limit=30)
    lever = next(lever for lever in found.levers if lever.limit.kind == "rest")
    assert lever.limit.station == "Hot degreaser"
    assert hoistopt.solve(with_rest(109), workers=1).cycle_time == 229


def test_a_conflict_names_the_rest_and_a_smaller_one_helps() -> None:
    found = hoistopt.find_conflict(line(), at_most=225, workers=1, time_limit=30)
    assert found.subset is not None
    kinds = {demand.kind for demand in found.subset.demands}
    assert "rest" in kinds and kinds <= {"rest", "minimum", "longest", "loaded"}
    words = next(d.words for d in found.subset.demands if d.kind == "rest")
    assert words == "the 110 s for which Hot degreaser stays empty after every carrier"
    changes = [c for r in found.relaxations for c in r.changes]
    assert changes and {c.limit.kind for c in changes} <= {"rest", "min"}


def test_a_rest_no_longer_than_the_quickest_turn_changes_nothing() -> None:
    """What it reduces to: without it the tank is empty for longer anyway."""
    plain = hoistopt.solve(with_rest(0), workers=1)
    assert plain.replay is not None and plain.cycle_time is not None
    stays = sorted(
        (stay.since, stay.until)
        for stay in plain.replay.stays
        if stay.station == "Hot degreaser" and stay.until is not None
    )
    gap = min(after[0] - before[1] for before, after in pairwise(stays))
    assert hoistopt.solve(with_rest(int(gap)), workers=1).cycle_time == plain.cycle_time
    assert solved().cycle_time != plain.cycle_time


def test_a_picture_has_the_rest_hatched_between_two_stays() -> None:
    assert solved().schedule is not None and solved().replay is not None
    ax = hoistopt.draw_timeway(line(), solved().schedule, solved().replay)
    rests = [patch for patch in ax.patches if str(patch.get_gid()).startswith("rest-")]
    assert rests and all(patch.get_hatch() and patch.get_width() == 110 for patch in rests)
    assert "tank rests, empty" in [text.get_text() for text in ax.get_legend().get_texts()]


def test_a_plan_waits_for_what_rests_in_the_state() -> None:
    assert solved().schedule is not None
    state = hoistopt.state_in_cycle(line(), solved().schedule, 150)
    assert [entry.station for entry in state.resting] == ["Hot degreaser"]
    orders = [hoistopt.Order("Hinges")]
    waits = hoistopt.plan(line(), orders, state, workers=1)
    free = hoistopt.plan(line(), orders, replace(state, resting=()), workers=1)
    assert waits.finish is not None and free.finish is not None
    assert waits.finish > free.finish


def test_where_a_load_cannot_wait_for_a_rest_the_conflict_names_both() -> None:
    tanks = [bench(), {"name": "A", "min_rest": 100}, {"name": "B"}]
    problem = hand_made(tanks, {"name": "R", "stage": [stage("B", 30, 60), stage("A", 20)]})
    state = LineState(
        (Standing("B", 1, Between.of(50), "R"),), HoistAt("B", Between.of(0)), (),
        (Resting("A", Between.of(0)),),
    )  # fmt: skip
    found = hoistopt.plan(problem, state=state, workers=1)
    assert found.status == "infeasible" and found.conflict is not None
    assert {demand.kind for demand in found.conflict.demands} == {"maximum", "rest"}
    words = "; ".join(demand.words for demand in found.conflict.demands)
    assert "the 100 s for which A stays empty after every carrier" in words
    later = replace(state, resting=(Resting("A", Between.of(90)),))
    assert hoistopt.plan(problem, state=later, workers=1).status == "optimal"


@pytest.mark.parametrize("late", [1, 5])
def test_a_late_lifting_makes_the_next_set_down_late(late: int) -> None:
    """Slack: the tank that rests holds the cycle, so any lateness of its lifting lasts."""
    assert solved().schedule is not None
    limits = hoistopt.slack_limits(line(), solved().schedule)
    lift = next(move for move in limits.moves if move.source == "Hot degreaser")
    assert lift.for_good == 0 and lift.slips < late
