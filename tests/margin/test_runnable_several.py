"""Schedules of several hoists that can be run, judged by the checker and by fresh draws."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from hoistopt import Problem, Result, Schedule, accepted, jitter, solve, verify
from hoistopt.base.clock import Clock
from hoistopt.graph.from_replay import timed_plan
from hoistopt.instance import build_instance
from hoistopt.margin.figures import margin_figures
from hoistopt.margin.jitter.replaying import draw_changes, follow, grain_of
from hoistopt.margin.search import RunnableSearch
from hoistopt.margin.several_order import SeveralOrder
from hoistopt.problem.margin import ASSUMED

LATE = "move times triangular 0.97 1 1.15"


def line(width: int = 10, **more: Any) -> Problem:
    """Four tanks and two hoists, invented; every window is so many seconds wide."""
    hoist = {"lift": 6, "lower": 5, "loaded": {"speed": 0.5}, "empty": {"speed": 1}}
    tanks = {"T1": 50, "T2": 40, "T3": 60, "T4": 45}
    stations = [{"name": name, "position": 2 * n} for n, name in enumerate(tanks, start=1)]
    return Problem.from_data(
        {
            "name": "Two hoists, invented",
            "hoist": [{"name": "A", **hoist}, {"name": "B", **hoist}],
            "track": {"clearance": 1.5, "from": -2, "to": 12},
            "station": [
                {"name": "In", "kind": "load", "position": 0},
                *stations,
                {"name": "Out", "kind": "unload", "position": 10},
            ],
            "recipe": [
                {
                    "name": "R",
                    "stage": [
                        {"station": name, "min": least, "max": least + width}
                        for name, least in tanks.items()
                    ],
                }
            ],
            **more,
        }
    )


@cache
def solved() -> Result:
    return solve(line(), workers=1, runnable=2)


@pytest.mark.quick
def test_a_schedule_of_two_hoists_that_can_be_run_loses_no_load() -> None:
    """On a line whose shortest cycle loses most of its loads."""
    problem, result = line(), solved()
    least, run = result.margin, result.runnable
    assert result.status == "optimal" and least is not None and run is not None
    assert least.out_of_window.share > 0.5 and not least.keeps_pace
    assert {step.hoist for step in run.schedule} == {"A", "B"}
    assert verify(problem, run.schedule) == ()
    assert run.met and run.margin.keeps_pace
    again = jitter(problem, run.schedule, [LATE], runs=80, cycles=100, seed=77)
    assert again.any_stage.out <= again.any_stage.loads / 1000
    assert again.cycle_time == pytest.approx(run.cycle_time, rel=1e-3)
    # A second or two of cycle time buy it.
    assert result.cycle_time is not None
    assert result.cycle_time < run.cycle_time < 1.05 * result.cycle_time


def test_several_hoists_keep_their_pace_to_a_ten_thousandth() -> None:
    """A drift of 0.08 % goes on for ever: it is no cycle that can be run."""
    figures = solved().margin
    assert figures is not None and figures.hoists == 2
    drifts = [float(figures.cycle_time) * (1 + share) for share in (5e-5, 8e-4)]
    assert [replace(figures, mean_cycle=mean).keeps_pace for mean in drifts] == [True, False]
    assert replace(figures, mean_cycle=drifts[1], hoists=1).keeps_pace


@pytest.mark.quick
def test_a_margin_asked_for_is_kept_with_two_hoists() -> None:
    problem = line(margin={"slack": 3, "float": 2})
    run = solve(problem, workers=1, runnable=1).runnable
    assert run is not None and run.met and verify(problem, run.schedule) == ()
    assert run.margin.slack is not None and run.margin.slack.time >= 3
    assert run.margin.late.time >= 2


@pytest.mark.quick
def test_where_two_hoists_have_no_time_to_spare_the_nearest_is_told() -> None:
    cycle = solved().cycle_time
    result = solve(line(cycle={"max": cycle}), workers=1, runnable=1)
    assert result.margin is not None and result.runnable is not None
    assert result.runnable.cycle_time == cycle
    assert not (result.runnable.met and result.runnable.margin.keeps_pace)


@pytest.mark.quick
def test_an_order_of_two_hoists_keeps_the_time_to_spare_it_is_given() -> None:
    """The longer cycle leaves every dwell the room asked for, and is one the checker accepts."""
    problem, schedule = line(), solved().schedule
    assert isinstance(schedule, Schedule)
    instance = build_instance(problem, 1, several=True)
    search = RunnableSearch(problem, instance, ASSUMED, Clock())
    order = search.consider(schedule, "")
    assert isinstance(order, SeveralOrder)
    none, room = [0.0] * len(instance.moves), 4 * float(instance.ticks_per_unit)
    as_it_was = order.shortest(none, [0.0] * len(instance.stays))
    roomy = order.shortest(none, [room] * len(instance.stays))
    late = order.shortest([room / 4] * len(none), [0.0] * len(instance.stays))
    assert as_it_was is not None and roomy is not None and late is not None
    assert as_it_was.cycle == schedule.cycle <= roomy.cycle
    assert late.cycle > schedule.cycle
    for times in (as_it_was, roomy, late):
        assert verify(problem, order.schedule(times)) == ()
    seen = accepted(problem, order.schedule(roomy))
    slack = margin_figures(problem, seen).slack
    assert slack is not None and slack.time >= 4


@pytest.mark.quick
def test_the_pace_of_two_hoists_is_that_of_the_step_that_falls_behind_most() -> None:
    """The first step may be on time while others fall behind a little in every cycle."""
    problem, result = line(20), solve(line(20), workers=1)
    assert result.schedule is not None and result.replay is not None
    ran = jitter(problem, result.schedule, [LATE], runs=40, cycles=60, seed=3)
    plan = timed_plan(result.replay)
    changes = draw_changes(plan, ran.scatters, 70, 40, 3)
    late = follow(plan, *changes).starts[10:]
    unit = float(grain_of(plan) / plan.per_unit)
    slowest = max((late[-1, n] - late[0, n]).mean() * unit / 59 for n in range(len(plan)))
    assert slowest > 0.1
    assert ran.cycle_time == pytest.approx(float(ran.planned) + slowest)
