"""What a replay records: fill, steady state, run-out. Times by hand, see checked_line."""

from __future__ import annotations

from fractions import Fraction as F
from pathlib import Path

import pytest

from hoistopt.checker import replay
from hoistopt.problem import load_problem
from hoistopt.schedule import Schedule
from tests.helpers.lines.checked_line import accepted, line, stage, table, usual_line, usual_table

pytestmark = pytest.mark.quick

PROBLEMS = Path(__file__).parents[2] / "problems"


def test_steps_whose_carrier_is_not_there_yet_are_skipped_and_their_time_kept() -> None:
    seen = accepted(usual_line(), usual_table())
    # Step 2 lifts from B at 15: for the first time in the second cycle.
    assert seen.skipped[0] == (1, 2)
    assert [(run.step, run.cycle, run.start) for run in seen.runs[:5]] == [
        (1, 1, 0),
        (3, 1, 55),
        (1, 2, 100),
        (2, 2, 115),
        (3, 2, 155),
    ]


def test_the_hoist_stays_where_it_is_until_the_next_step_it_executes() -> None:
    runs = accepted(usual_line(), usual_table()).runs
    assert (runs[0].came_from, runs[0].empty, runs[0].waited) == (None, 0, 0)
    # Free at A at 10, no travel, lifts there at 55.
    assert (runs[1].came_from, runs[1].empty, runs[1].waited) == ("A", 0, 45)
    # Free at B at 65, 5 to the Bench, waits there from 70 to 100.
    assert (runs[2].came_from, runs[2].empty, runs[2].waited) == ("B", 5, 30)


def test_the_steady_state_is_where_the_line_repeats_itself() -> None:
    seen = accepted(usual_line(), usual_table())
    # In cycle 1 B is not lifted; cycle 2 begins without a carrier on the Bench that the
    # hoist set down there; cycle 3 begins and ends alike.
    assert (seen.steady_from, seen.steady_cycles) == (2, 3)
    shift = seen.cycle_time
    whole = [
        {
            (run.step, run.start - cycle * shift, run.end - cycle * shift, run.came_from)
            for run in seen.runs
            if run.cycle == cycle + 1
        }
        for cycle in range(seen.steady_from, seen.steady_from + seen.steady_cycles)
    ]
    assert all(cycle == whole[0] and len(cycle) == 3 for cycle in whole)
    phases = {run.cycle: run.phase for run in seen.runs}
    assert list(dict.fromkeys(phases.values())) == ["fill", "steady", "run-out"]
    assert sum(phase == "steady" for phase in phases.values()) == seen.steady_cycles


def test_the_line_runs_out_until_it_is_empty() -> None:
    seen = accepted(usual_line(), usual_table())
    last = seen.cycles
    assert [run.step for run in seen.runs if run.cycle == last] == [2]
    assert (last, 1) in seen.skipped
    left = [stay for stay in seen.stays if stay.until is None]
    assert {stay.station for stay in left} == {"Bench"}
    loads = sum(run.step == 1 for run in seen.runs)
    assert loads == sum(run.step == 2 for run in seen.runs)


def test_the_caller_may_ask_for_a_number_of_cycles() -> None:
    seen = replay(usual_line(), usual_table(), 7)
    assert sum(run.step == 1 for run in seen.runs) == 7
    assert seen.cycles == 8
    assert seen.steady_from + seen.steady_cycles == 7
    short = replay(usual_line(), usual_table(), 1)
    assert short.steady_cycles == 0
    assert {run.phase for run in short.runs} == {"fill", "run-out"}


def test_stays_tell_stage_station_and_window() -> None:
    seen = accepted(usual_line(), usual_table())
    in_b = next(stay for stay in seen.stays if stay.station == "B")
    assert (in_b.recipe, in_b.load, in_b.stage, in_b.label) == ("R", 1, 2, "B")
    assert (in_b.since, in_b.until, in_b.dwell) == (65, 115, 50)
    assert (in_b.least, in_b.most, in_b.arrived_by, in_b.left_by) == (40, 80, 3, 2)


def test_the_usual_line_names_its_stage_where_the_recipe_does() -> None:
    problem = line(
        [{"name": "Bench", "kind": "load-unload"}, {"name": "A"}],
        {"name": "R", "stage": [{**stage("A", 10), "name": "Rinse"}]},
    )
    seen = accepted(problem, table(100, (0, "Bench", "A"), (50, "A", "Bench")))
    assert {stay.label for stay in seen.stays} == {"Bench", "Rinse"}


# A schedule of 521 s, found with this package and kept here as plain figures. That 521 is
# the least comes from outside: Phillips and Unger (1976), AIIE Transactions 8(2), 219-225.
# Lifts from the Load/unload station and from Tanks 1 to 12, in that order.
LIFTS = (0, 189, 302, 483, 74, 129, 270, 352, 448, 376, 41, 166, 218)


def test_the_published_line_is_replayed_within_its_windows() -> None:
    problem = load_problem(PROBLEMS / "phillips_unger_1976.toml")
    names = ["Load/unload", *(f"Tank {number}" for number in range(1, 13)), "Load/unload"]
    moves = [(t, u, v) for t, u, v in zip(LIFTS, names, names[1:], strict=False)]
    seen = accepted(problem, table(521, *moves))
    assert seen.cycle_time == F(521)
    faster = Schedule(520, F(1), table(521, *moves).steps)
    assert replay(problem, faster).violations
