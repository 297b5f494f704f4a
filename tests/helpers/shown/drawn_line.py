"""Invented lines with replays built by hand, for tests of the drawing."""

from __future__ import annotations

from fractions import Fraction as F
from typing import Any

from hoistopt.checker import plan_of
from hoistopt.checker.record import CarrierStay, HoistRun, Replay
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule, Step

# Worked out by hand: stations 2 apart, speed 1, lift and lower 4, so each move takes 10.
# In a cycle of 100: In to Wash 0-10, Wash to Twin 40-50, Twin to Out 70-80, back at In 86.
# Wash holds a load 10-40, of 20 to 40 allowed; Twin 50-170, least 100, two at a time.
CYCLE = F(100)


def twin_line(**names: str) -> Problem:
    name = {key: names.get(key, key) for key in ("In", "Wash", "Twin", "Out", "Parts")}
    return Problem.from_data(
        {
            "name": names.get("line", "Twin line"),
            "hoist": {"lift": 4, "lower": 4, "loaded": {"speed": 1}, "empty": {"speed": 1}},
            "station": [
                {"name": name["In"], "kind": "load", "position": 0},
                {"name": name["Wash"], "position": 2},
                {"name": name["Twin"], "position": 4, "capacity": 2},
                {"name": name["Out"], "kind": "unload", "position": 6, "min_occupation": 15},
            ],
            "recipe": [
                {
                    "name": name["Parts"],
                    "stage": [
                        {"station": name["Wash"], "min": 20, "max": 40},
                        {"station": name["Twin"], "min": 100},
                    ],
                }
            ],
        }
    )


def twin_schedule(problem: Problem) -> Schedule:
    names = [station.name for station in problem.stations]
    starts = (0, 40, 70)
    steps = (Step(start, names[n], names[n + 1], stage=n) for n, start in enumerate(starts))
    return Schedule(100, F(1), tuple(steps))


def twin_replay(problem: Problem, cycles: int = 6) -> Replay:
    """The steady state in every cycle, the first included: only its figures matter."""
    names = [station.name for station in problem.stations]
    common: dict[str, Any] = {
        "recipe": problem.recipes[0].name,
        "load": 1,
        "phase": "steady",
    }
    runs, stays = [], []
    # (start, came from, empty travel, waited)
    moves = ((0, 3, 6, 14), (40, 1, 0, 30), (70, 2, 0, 20))
    for cycle in range(cycles):
        for stage, (start, came_from, empty, waited) in enumerate(moves):
            at = cycle * CYCLE + start
            runs.append(
                HoistRun(
                    step=stage + 1, cycle=cycle + 1, carrier=cycle, stage=stage,
                    source=names[stage], target=names[stage + 1], start=at, end=at + 10,
                    lift=F(4), drip=F(0), travel=F(2), lower=F(4), came_from=names[came_from],
                    empty=F(empty), waited=F(waited), **common,
                )
            )  # fmt: skip
        for stage, since, until, least, most, left in (
            (1, 10, 40, 20, 40, 2),
            (2, 50, 170, 100, None, 3),
            (3, 80, None, 15, None, None),
        ):
            stays.append(
                CarrierStay(
                    carrier=cycle, stage=stage, label=names[stage], station=names[stage],
                    since=cycle * CYCLE + since, least=F(least),
                    until=None if until is None else cycle * CYCLE + until,
                    most=None if most is None else F(most), arrived_by=stage, left_by=left,
                    **common,
                )
            )  # fmt: skip
    return Replay(
        cycle_time=CYCLE, violations=(),
        plan=plan_of(problem, twin_schedule(problem)), runs=tuple(runs), stays=tuple(stays),
        cycles=cycles, steady_from=2, steady_cycles=3, carriers_needed=3,
    )  # fmt: skip


def long_line(stations: int, names: list[str] | None = None, recipes: int = 1) -> Problem:
    """A line of `stations` in a row; every recipe visits all of them."""
    inner = names or [f"Tank {number}" for number in range(1, stations - 1)]
    places = [
        {"name": "In", "kind": "load", "position": 0},
        *({"name": name, "position": n} for n, name in enumerate(inner, start=1)),
        {"name": "Out", "kind": "unload", "position": stations - 1},
    ]
    stages = [{"station": name, "min": 30, "max": 90} for name in inner]
    data: dict[str, Any] = {
        "name": f"Invented line of {stations}",
        "hoist": {"lift": 4, "lower": 4, "loaded": {"speed": 1}, "empty": {"speed": 1}},
        "station": places,
        "recipe": [{"name": f"R{n}", "stage": stages} for n in range(1, recipes + 1)],
    }
    if recipes > 1:
        data["cycle"] = {"mix": {f"R{n}": 1 for n in range(1, recipes + 1)}}
    return Problem.from_data(data)


def one_at_a_time(problem: Problem) -> tuple[Schedule, Replay]:
    """Every load of the cycle goes through alone, standing 40 in each tank."""
    names = [station.name for station in problem.stations]
    back = len(names) - 1
    cycle = len(problem.recipes) * ((len(names) - 1) * 49 - 40 + back)
    steps, runs, stays = [], [], []
    time = 0
    for load, recipe in enumerate(problem.recipes, start=1):
        for stage in range(len(names) - 1):
            steps.append(Step(time, names[stage], names[stage + 1], recipe.name, load, stage, 0))
            first = stage == 0
            common: dict[str, Any] = {"recipe": recipe.name, "load": load, "phase": "steady"}
            for repetition in range(4):
                at = F(repetition * cycle + time)
                runs.append(
                    HoistRun(
                        step=len(steps), cycle=repetition + 1, carrier=repetition, stage=stage,
                        source=names[stage], target=names[stage + 1], start=at, end=at + 9,
                        lift=F(4), drip=F(0), travel=F(1), lower=F(4),
                        came_from=names[-1] if first else names[stage],
                        empty=F(back if first else 0), waited=F(0 if first else 40), **common,
                    )
                )  # fmt: skip
                if stage < len(names) - 2:
                    stays.append(
                        CarrierStay(
                            carrier=repetition, stage=stage + 1, label=names[stage + 1],
                            station=names[stage + 1], since=at + 9, until=at + 49, least=F(30),
                            most=F(90), arrived_by=len(steps), left_by=len(steps) + 1, **common,
                        )
                    )  # fmt: skip
            time += 49
        time += back - 40
    schedule = Schedule(cycle, F(1), tuple(steps))
    replay = Replay(
        cycle_time=F(cycle), violations=(),
        plan=plan_of(problem, schedule), runs=tuple(runs), stays=tuple(stays),
        cycles=4, steady_from=1, steady_cycles=2, carriers_needed=1,
    )  # fmt: skip
    return schedule, replay
