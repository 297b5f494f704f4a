"""The drawing of schedules that the solver found and the checker replayed."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pytest

import hoistopt
from hoistopt.checker import replay
from hoistopt.checker.record import Replay
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule
from hoistopt.show.timeway import draw_timeway
from tests.helpers.shown.drawn_parts import line_points, paths, rectangles, texts

pytestmark = pytest.mark.quick

PROBLEMS = Path(__file__).parents[3] / "problems"


@pytest.fixture(scope="module", params=[("three_tanks_dryer", 2), ("phillips_unger_1976", 1)])
def solved(request: pytest.FixtureRequest) -> tuple[Problem, Schedule, Replay]:
    name, degree = request.param
    problem = hoistopt.load_problem(PROBLEMS / f"{name}.toml")
    schedule = hoistopt.solve(problem, degree, workers=1).schedule
    assert schedule is not None
    return problem, schedule, replay(problem, schedule)


Solved = tuple[Problem, Schedule, Replay]


def test_the_repeated_cycle_is_what_the_replay_saw_in_the_next_ones(solved: Solved) -> None:
    problem, schedule, seen = solved
    assert seen.steady_cycles >= 2
    ax = draw_timeway(problem, schedule, seen)
    origin = seen.steady_from * seen.cycle_time
    span = 2 * seen.cycle_time
    expected = sorted(
        (float(stay.since - origin), float(stay.until - origin))
        for stay in seen.stays
        if stay.until is not None and stay.until > origin and stay.since < origin + span
    )
    drawn = sorted((bar.get_x(), bar.get_x() + bar.get_width()) for bar in rectangles(ax))
    assert np.array(drawn) == pytest.approx(np.array(expected))
    runs = [run for run in seen.runs if run.end > origin and run.start < origin + span]
    assert len(paths(ax, "loaded")) == len(runs)


def test_the_hoist_path_is_whole(solved: Solved) -> None:
    ax = draw_timeway(*solved)
    kinds = ("loaded", "empty", "waiting")
    pieces = sorted(piece for kind in kinds for piece in paths(ax, kind))
    for before, after in pairwise(pieces):
        assert before[-1] == pytest.approx(after[0])


def test_no_two_bars_overlap_and_none_ends_outside_its_window(solved: Solved) -> None:
    problem, schedule, seen = solved
    ax = draw_timeway(problem, schedule, seen)
    for one, other in combinations(rectangles(ax), 2):
        assert not one.get_bbox().padded(-1e-6).overlaps(other.get_bbox())
    # A carrier leaves after its least and before its greatest time.
    for bar in rectangles(ax):
        end = bar.get_x() + bar.get_width()
        marks = {
            gid: [
                x
                for x, y in line_points(ax, gid)
                if 0 < y - bar.get_y() - bar.get_height() < 0.35 and x >= bar.get_x()
            ]
            for gid in ("min", "max")
        }
        assert min(marks["min"]) <= end + 1e-9
        assert not marks["max"] or max(marks["max"]) >= end - 1e-9 or end > ax.get_xlim()[1]


def test_a_broken_schedule_is_drawn_with_its_faults(solved: Solved) -> None:
    problem, schedule, _ = solved
    first = schedule.steps[1]
    late = replace(schedule, steps=(*schedule.steps[2:], replace(first, start=first.start + 400)))
    late = replace(late, steps=(schedule.steps[0], *late.steps))
    seen = replay(problem, late)
    assert not seen.clean
    ax = draw_timeway(problem, late, seen)
    assert "do not run" in texts(ax, "warning")[0]
    assert len(line_points(ax, "wrong")) == 2 * len(seen.violations)
