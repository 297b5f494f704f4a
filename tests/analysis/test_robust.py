"""Robust schedules: nearly as short as the shortest, checked, and worth it."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from hoistopt import InputError, jitter, load_problem, robust, slack_limits, solve, verify
from hoistopt.analysis.figures.figures import figures
from hoistopt.analysis.robust.search import longer
from hoistopt.graph.from_instance import instance_graph
from hoistopt.graph.pattern import pattern_of
from hoistopt.instance import build_instance
from hoistopt.problem import Problem
from hoistopt.show.robust import RobustAnswer, aim_table
from tests.helpers.command import PROBLEMS
from tests.helpers.lines.checked_line import line, stage

ANODISING = PROBLEMS / "quillhaven_anodising.toml"


def test_slack_is_had_where_it_costs_nothing() -> None:
    """The invented anodising line, no longer than the shortest: which has the most slack?

    Some schedules of that cycle time have 3.4 s, some 13.3 s, the best 17.7 s.
    """
    problem = load_problem(ANODISING)
    found = robust(problem, within=0, aims=("slack", "float"), workers=1)
    assert found.status == "optimal"
    assert found.schedule is not None and found.limits is not None
    assert found.cycle_time == found.shortest.cycle_time
    assert verify(problem, found.schedule) == ()
    shortest = found.shortest.schedule
    assert shortest is not None
    before = slack_limits(problem, shortest).least_alone
    assert before is not None and found.limits.least_alone is not None
    assert found.limits.least_alone == 177 >= before
    assert {aim.name: aim.proven for aim in found.aims} == dict.fromkeys(
        ("slack", "float", "cycle"), True
    )
    # What was reached is what the limits of the schedule say.
    assert found.aims[0].value == found.limits.time(found.limits.least_alone)


def test_the_tightest_start_stands_beside_a_margin_that_a_window_has_no_room_for() -> None:
    """4.7 % above the shortest cycle: 22.9 s below each maximum, but the etch has 20 s."""
    problem = load_problem(ANODISING)
    found = robust(problem, aims=["slack"], workers=1)
    assert found.limits is not None and found.limits.least_alone is not None
    late = found.limits.time(found.limits.least_alone)
    assert late < 20 < found.aims[0].value
    told = RobustAnswer(problem, found)
    (slack, cycle) = told.data()["aims"]
    assert slack["tightest_start"] == float(late)
    assert slack["value"] == float(found.aims[0].value)
    assert "tightest_start" not in cycle
    table = aim_table(problem, found)
    cells = {str(column.header): list(column.cells) for column in table.columns}
    assert cells["Tightest start"] == [f"{float(late):g}", "-"]
    assert f"may start {float(late):g} s late" in told.sentences()[0]


def test_slack_spares_loads_when_times_scatter() -> None:
    """The published line, 8 % longer: fewer loads stand too long."""
    problem = load_problem(PROBLEMS / "phillips_unger_1976.toml")
    found = robust(problem, within=8, workers=1)
    assert found.schedule is not None and found.shortest.schedule is not None
    assert (found.cycle_time or 0) <= 521 * 1.08
    words = ["move times triangular 0.97 1 1.08"]
    shares = [
        jitter(problem, schedule, words, runs=40, cycles=50).any_stage
        for schedule in (found.shortest.schedule, found.schedule)
    ]
    assert shares[1].high < shares[0].low / 2


def test_the_cycle_is_never_longer_than_allowed() -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    for within in (0, Decimal("0.5"), 3, 7.5):
        found = robust(problem, within=within, aims=["float"], workers=1)
        assert found.schedule is not None and found.shortest.schedule is not None
        most = found.shortest.schedule.cycle * (1 + Fraction(str(within)) / 100)
        assert found.schedule.cycle <= most
        assert found.within == Decimal(str(within))
    assert longer(1000, Decimal("0.1")) == 1001
    assert longer(999, Decimal("0.1")) == 999


def with_nominal(problem: Problem, times: dict[int, Any]) -> Problem:
    data = problem.to_data()
    for number, time in times.items():
        data["recipe"][0]["stage"][number]["nominal"] = time
    return Problem.from_data(data)


def test_dwells_come_to_their_nominal_where_the_cycle_leaves_a_choice() -> None:
    problem = with_nominal(load_problem(PROBLEMS / "three_tanks_dryer.toml"), {0: 120, 1: 130})
    found = robust(problem, within=20, aims=["nominal", "travel"], workers=1)
    assert (found.aims[0].name, found.aims[0].value) == ("nominal", 0)
    assert found.replay is not None
    dwells = {stay.stage: stay.dwell for stay in found.replay.stays if stay.phase == "steady"}
    # Planned in tenths, and true moves are up to a tenth shorter than planned.
    for number, nominal in ((1, 120), (2, 130)):
        dwell = dwells[number]
        assert dwell is not None and 0 <= dwell - nominal < Fraction(1, 10)


def test_values_are_what_the_replay_shows() -> None:
    """Empty travel and loads in process, against the figures of the checker's replay."""
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    found = robust(problem, within=20, aims=["loads", "travel"], workers=1)
    assert found.replay is not None and found.schedule is not None
    seen = figures(problem, found.replay)
    loads, travel, _ = found.aims
    assert loads.value == seen.in_process_most
    shown = seen.hoist_empty * found.schedule.cycle_time
    # Each of five empty travels is rounded up to a tenth.
    assert shown <= travel.value <= shown + 5 * 0.1 + 0.02
    least = robust(problem, within=0, aims=["cycle"], workers=1)
    assert least.cycle_time == solve(problem, workers=1).cycle_time


def test_fewer_loads_in_process_may_cost_cycle_time() -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    few = [
        robust(problem, within=within, aims=["loads"], workers=1).aims[0].value
        for within in (0, 400)
    ]
    assert few[0] > few[1] == 1


def test_a_line_without_maxima_has_no_slack_to_seek() -> None:
    stations = [{"name": "In", "kind": "load"}, {"name": "A"}, {"name": "Out", "kind": "unload"}]
    problem = line(stations, {"name": "R", "stage": [stage("A", 30)]})
    found = robust(problem, workers=1)
    assert [aim.name for aim in found.aims] == ["float", "cycle"]
    assert found.limits is not None and found.limits.least_alone is None


def test_no_schedule_no_answer() -> None:
    data = load_problem(PROBLEMS / "three_tanks_dryer.toml").to_data()
    data["cycle"] = {"max": 100}
    found = robust(Problem.from_data(data), workers=1)
    assert (found.status, found.schedule, found.aims) == ("infeasible", None, ())


@pytest.mark.parametrize(
    ("wrong", "named"),
    [
        ({"within": -1}, "within = -1"),
        ({"within": 1001}, "percentage from 0 to 1000"),
        ({"within": float("nan")}, "percentage"),
        ({"within": "5"}, "percentage"),
        ({"aims": []}, "any of slack, float"),
        ({"aims": "slack"}, "any of slack, float"),
        ({"aims": ["speed"]}, "aims = speed"),
        ({"aims": ["slack", "float", "slack"]}, "each once"),
        ({"aims": ["nominal"]}, "nominal dwell for at least one stage"),
        ({"degree": 0}, "degree"),
        ({"time_limit": 0}, "time_limit"),
    ],
)
def test_bad_input_is_refused(wrong: dict[str, Any], named: str) -> None:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    with pytest.raises(InputError) as told:
        robust(problem, **wrong)
    assert named in str(told.value)


def test_sharing_out_float_leaves_the_slack() -> None:
    problem = load_problem(ANODISING)
    found = robust(problem, within=2, workers=1)
    assert found.schedule is not None and found.limits is not None
    alone = found.limits.least_alone
    assert alone is not None
    assert found.limits.time(alone) == found.aims[0].value
    instance = build_instance(problem, 1)
    pattern = pattern_of(problem, instance, found.schedule)
    starts = [found.schedule.steps[step].start for step in pattern.steps]
    arcs = instance_graph(instance, pattern).arcs
    assert min(arc.slack(starts, found.schedule.cycle) for arc in arcs) >= 0


def test_the_files_of_the_house_stay_as_they_are() -> None:
    """Nominal dwells are an aim of this command alone: the demo lines name none."""
    for path in Path(PROBLEMS).glob("*.toml"):
        problem = load_problem(path)
        assert all(s.nominal is None for r in problem.recipes for s in r.stages)
