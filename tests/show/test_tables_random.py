"""Tables of random lines of every kind: their figures agree with one another.

Outside source of the first check: Little (1961), A proof for the queuing formula
L = lambda W, Operations Research 9, 383-387: loads in process = loads per time x time.
"""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest

from hoistopt import InputError, Result, replay, solve
from hoistopt.analysis.figures import Report, report
from hoistopt.base.text import STANDING, json_text
from hoistopt.problem import Problem
from hoistopt.schedule.files import read_moves
from hoistopt.show.schedule.data import result_data
from hoistopt.show.schedule.rows import steps_table
from tests.reference.lines import FAMILIES

CASES = [(family, seed) for family in FAMILIES for seed in range(6)]


@pytest.fixture(params=CASES, ids=lambda case: f"{case[0]}-{case[1]}")
def solved(request: pytest.FixtureRequest) -> tuple[Problem, Result, Report]:
    family, seed = request.param
    problem, degree = FAMILIES[family](seed)
    try:
        result = solve(problem, degree, time_limit=10, workers=1)
    except InputError:
        pytest.skip("a window between two ticks")
    if result.schedule is None or result.replay is None:
        pytest.skip("no schedule exists")
    return problem, result, report(problem, result.schedule, result.replay, result.status)


def test_tables_of_a_random_line(solved: tuple[Problem, Result, Report], tmp_path: Path) -> None:
    problem, result, told = solved
    assert result.schedule is not None
    cycle, found = Fraction(told.cycle_time), told.figures
    stages = {recipe.name: len(recipe.stages) for recipe in problem.recipes}
    tick = 1 / result.schedule.ticks_per_unit
    rounding = float((len(told.steps) + len(told.dwells)) * tick / cycle) + 1e-3

    # Little's law, from the rows of the tables alone.
    carried = sum(Fraction(row.loaded) for row in told.steps if row.stage <= stages[row.recipe])
    stood = sum(Fraction(row.dwell) for row in told.dwells)
    assert found.in_process_mean == pytest.approx(float((carried + stood) / cycle), abs=rounding)
    assert found.in_process_least <= found.in_process_mean <= found.in_process_most

    # The hoist is always doing one of three things.
    filled = sum(Fraction(row.empty + row.wait + row.loaded) for row in told.steps)
    assert float(filled / cycle) == pytest.approx(1, abs=2 * rounding)
    shares = (found.hoist_loaded, found.hoist_empty, found.hoist_waiting)
    assert sum(shares) == pytest.approx(1, abs=2e-4)
    assert min(shares) >= 0

    # Every load has a row for every stage, within its window.
    entering = [row.recipe for row in told.steps if row.stage == 0]
    assert len(entering) == result.loads_per_cycle
    assert len(told.dwells) == sum(stages[name] for name in entering)
    for row in told.dwells:
        assert row.margin_min >= 0
        assert row.margin_max is None or row.margin_max >= 0

    # What is written is accepted when read back, and needs the same carriers.
    table = steps_table(told.steps, told.dwells, told.cycle_time, problem.unit).csv([STANDING])
    (tmp_path / "moves.csv").write_text(table)
    data = json_text(result_data(problem, result, told))
    (tmp_path / "moves.json").write_text(data)
    assert json.loads(data)["cycle_time"] == result.cycle_time
    for name in ("moves.csv", "moves.json"):
        seen = replay(problem, read_moves(tmp_path / name, problem))
        assert seen.violations == ()
        assert seen.carriers_needed == found.carriers_needed
