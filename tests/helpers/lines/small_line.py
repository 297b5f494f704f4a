"""A line of one bath, its schedule and its replay, all worked out by hand."""

from __future__ import annotations

from fractions import Fraction as F
from typing import Any

from hoistopt.analysis.figures import Report, report
from hoistopt.checker import plan_of
from hoistopt.checker.record import CarrierStay, HoistRun, Replay
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule, Step

# By hand: In at 0, Bath at 2, Out at 4, speed 1, lift and lower 5 each, drip 2.
# Loaded: In to Bath 5 + 2 + 5 = 12; Bath to Out 5 + 2 + 2 + 5 = 14. Empty, Out to In: 4.
# Cycle of 65: lift In at 0, set down at 12; lift Bath at 42.5, set down at 56.5; back at
# In at 60.5. The bath holds the load for 30.5, of 30 to 60 allowed.
CYCLE = F(65)
CYCLES = 4


def small_line(**names: str) -> Problem:
    name = {"In": "In", "Bath": "Bath", "Out": "Out", "A": "A", **names}
    return Problem.from_data(
        {
            "name": "By hand",
            "hoist": {"lift": 5, "lower": 5, "loaded": {"speed": 1}, "empty": {"speed": 1}},
            "carriers": {"count": 3},
            "station": [
                {"name": name["In"], "kind": "load", "position": 0},
                {"name": name["Bath"], "position": 2},
                {"name": name["Out"], "kind": "unload", "position": 4},
            ],
            "recipe": [
                {
                    "name": name["A"],
                    "stage": [{"station": name["Bath"], "min": 30, "max": 60, "drip": 2}],
                }
            ],
        }
    )


def small_schedule(problem: Problem) -> Schedule:
    names = [station.name for station in problem.stations]
    steps = (Step(0, names[0], names[1]), Step(425, names[1], names[2]))
    return Schedule(650, F(10), steps)


def small_replay(problem: Problem) -> Replay:
    """What a replay of the small schedule sees: no load in the bath before the first."""
    names = [station.name for station in problem.stations]
    recipe = problem.recipes[0]
    common: dict[str, Any] = {"recipe": recipe.name, "load": 1, "phase": "steady"}
    timed: dict[str, Any] = {"lift": F(5), "travel": F(2), "lower": F(5)}
    runs, stays = [], []
    for cycle in range(CYCLES):
        at = cycle * CYCLE
        first = HoistRun(
            step=1, cycle=cycle + 1, carrier=cycle, stage=0, source=names[0], target=names[1],
            start=at, end=at + 12, drip=F(0), came_from=names[2] if cycle else None,
            empty=F(4) if cycle else F(0), waited=F(9, 2) if cycle else F(0), **timed, **common,
        )  # fmt: skip
        second = HoistRun(
            step=2, cycle=cycle + 1, carrier=cycle, stage=1, source=names[1], target=names[2],
            start=at + F(85, 2), end=at + F(113, 2), drip=F(2), came_from=names[1],
            empty=F(0), waited=F(61, 2), **timed, **common,
        )  # fmt: skip
        runs += [first, second]
        stays.append(
            CarrierStay(
                carrier=cycle, stage=1, label=recipe.stages[0].label, station=names[1],
                since=first.end, until=second.start, least=F(30), most=F(60),
                arrived_by=1, left_by=2, **common,
            )
        )  # fmt: skip
    return Replay(
        cycle_time=CYCLE, violations=(),
        plan=plan_of(problem, small_schedule(problem)), runs=tuple(runs), stays=tuple(stays),
        cycles=CYCLES, steady_from=1, steady_cycles=2, carriers_needed=1,
    )  # fmt: skip


def small_report(**names: str) -> Report:
    problem = small_line(**names)
    return report(problem, small_schedule(problem), small_replay(problem))
