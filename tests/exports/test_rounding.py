"""Starts in whole units: moved as little as the pattern allows, or refused."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import combinations
from random import Random
from typing import Any

import pytest

import hoistopt
from hoistopt.base.errors import InputError
from hoistopt.checker import Refused
from hoistopt.exports import sequencer_table
from hoistopt.exports.readback.proof import schedule_of
from hoistopt.exports.rounding import in_whole_units
from hoistopt.exports.strict import strict_problem
from hoistopt.exports.units import UNITS, TimeUnit
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule, Step
from tests.helpers.block.sequenced import dryer, returning, solved, table_of
from tests.helpers.usual import each
from tests.reference.lines import FAMILIES

# -- rounding ---------------------------------------------------------------------------


def clean(schedule: Schedule, *problems: Problem) -> bool:
    """Whether the checker accepts a schedule on all of the problems."""
    return all(hoistopt.replay(problem, schedule).clean for problem in problems)


def tight(seed: int) -> Problem:
    """Two baths with windows in odd seconds that hold one to four whole minutes.

    The ends of the line are free, or hold one carrier for a time, or are one station; the
    carriers may be as few as will do.
    """
    rng = Random(seed)
    stages: list[dict[str, Any]] = []
    for name in ("One", "Two"):
        whole, width = rng.randint(1, 3), rng.choice((0, 1, 1, 2, 2, 3))
        least, most = 60 * whole - rng.randint(0, 59), 60 * (whole + width) + rng.randint(0, 59)
        stages.append({"station": name, "min": least, "max": most})
    ends: dict[str, Any] = {"capacity": "unlimited"}
    if seed % 3:
        ends = {"min_occupation": rng.randint(20, 130)}
    stations: list[dict[str, Any]] = [
        {"name": "In", "kind": "load", "position": 0, **ends},
        {"name": "One", "position": rng.randint(1, 4)},
        {"name": "Two", "position": rng.randint(5, 8)},
        {"name": "Out", "kind": "unload", "position": 10, **ends},
    ]
    if seed % 3 == 2:
        stations[0]["kind"] = "load-unload"
        del stations[3]
    data = {
        "name": f"Tight {seed}",
        "hoist": {
            "lift": rng.randint(11, 29),
            "lower": rng.randint(11, 29),
            "loaded": {"speed": 0.5},
            "empty": {"speed": 1.3},
        },
        "station": stations,
        "recipe": [{"name": "R", "stage": stages}],
        "carriers": {"return_time": rng.randint(0, 90)},
    }
    free = Problem.from_data(data)
    result = hoistopt.solve(free, workers=1)
    assert result.replay is not None and result.cycle_time is not None
    if seed % 4 == 1:  # slower than need be, so that dwells are long too
        return Problem.from_data({**data, "cycle": {"min": round(result.cycle_time * 1.2)}})
    if seed % 2:
        return free
    few = {**data["carriers"], "count": result.replay.carriers_needed}  # type: ignore[dict-item]
    return Problem.from_data({**data, "carriers": few})


def any_timing(problem: Problem, schedule: Schedule) -> list[int]:
    """Cycle times in whole minutes for which some timing of the pattern passes: all are tried."""
    strict = strict_problem(problem, UNITS["min"])
    found = []
    for cycle in range(1, int(schedule.cycle_time) // 60 + 4):
        for starts in combinations(range(1, cycle), len(schedule) - 1):
            steps = tuple(
                replace(step, start=start)
                for step, start in zip(schedule, (0, *starts), strict=True)
            )
            if clean(Schedule(cycle, Fraction(1, 60), steps), problem, strict):
                found.append(cycle)
                break
    return found


def rounded(problem: Problem, schedule: Schedule) -> Schedule | None:
    try:
        strict = strict_problem(problem, UNITS["min"])
        return in_whole_units(hoistopt.replay(problem, schedule), strict, UNITS["min"]).schedule
    except InputError:
        return None


SEEDS = range(30)


@pytest.mark.parametrize("seed", each(15, SEEDS))
def test_rounding_finds_a_timing_exactly_where_there_is_one(seed: int) -> None:
    problem = tight(seed)
    schedule = hoistopt.solve(problem, workers=1).schedule
    assert schedule is not None
    found = rounded(problem, schedule)
    try:
        possible = any_timing(problem, schedule)
    except InputError:  # a window holds no whole minute
        possible = []
    if found is None:
        assert not possible
    else:
        least = [cycle for cycle in possible if cycle * 60 >= schedule.cycle_time]
        assert found.cycle == (least[0] if least else possible[-1])
        assert [step.source for step in found] == [step.source for step in schedule]


def test_rounding_meets_both_outcomes() -> None:
    # Else the test above would show less than it says.
    outcomes = set()
    for seed in SEEDS:
        problem = tight(seed)
        schedule = hoistopt.solve(problem, workers=1).schedule
        assert schedule is not None
        outcomes.add(rounded(problem, schedule) is None)
    assert outcomes == {True, False}


def test_stays_at_the_ends_of_the_line_are_kept_while_rounding() -> None:
    # Two loads a cycle enter at a station of one place, where each stands 41 s: the timing is
    # found only if their starts keep that distance.
    line = FAMILIES["parallel"](101)
    steps = (
        Step(0, "In", "A", "R", 1, 0),
        Step(141, "A", "Out", "R", 1, 1, 0),
        Step(410, "In", "B", "R", 2, 0),
        Step(578, "B", "Out", "R", 2, 1, 0),
    )
    schedule = Schedule(820, Fraction(10), steps)
    assert clean(schedule, line.problem)
    unit = TimeUnit("u", "5 s", 5000)
    strict = strict_problem(line.problem, unit)
    found = in_whole_units(hoistopt.replay(line.problem, schedule), strict, unit).schedule
    assert found.cycle == 18
    assert clean(found, line.problem, strict)


def test_nearest_whole_numbers_alone_would_not_do() -> None:
    problem, schedule = solved(dryer)
    nearest = tuple(replace(s, start=round(schedule.time(s.start))) for s in schedule)
    plain = Schedule(round(schedule.time(schedule.cycle)), Fraction(1), nearest)
    assert not hoistopt.replay(problem, plain).clean
    assert table_of(dryer, "s").cycle > schedule.time(schedule.cycle)


@pytest.mark.parametrize(("direct", "clean"), [(20, True), (21, False), (100, False)])
def test_whole_times_stay_as_they_are_or_are_refused_for_the_direct_way(
    direct: int, clean: bool
) -> None:
    """Rounding asks of the hoist what the checker asks: its time between any two moves.

    Set down in A at 10, lifted at B at 30: empty from A to B may take 20 s, though between
    the two the hoist carries a load there in 10 s.
    """
    names = ["In", "A", "B", "Out"]
    ways = [(a, b) for a in names for b in names if a != b]
    data = {
        "name": "Roundabout",
        "station": [
            {"name": "In", "kind": "load"},
            {"name": "A"},
            {"name": "B"},
            {"name": "Out", "kind": "unload"},
        ],
        "times": {
            "loaded": [{"from": a, "to": b, "time": 10} for a, b in ways],
            "empty": [
                {"from": a, "to": b, "time": direct if (a, b) == ("A", "B") else 5} for a, b in ways
            ],
        },
        "recipe": [
            {"name": "R", "stage": [{"station": "A", "min": 5}, {"station": "B", "min": 5}]}
        ],
    }
    problem = Problem.from_data(data)
    steps = tuple(
        Step(start, source, target)
        for start, source, target in ((0, "In", "A"), (15, "A", "B"), (30, "B", "Out"))
    )
    schedule = Schedule(60, Fraction(1), steps)
    if not clean:
        with pytest.raises(Refused, match="hoist ends step 1 at A at 10 s"):
            sequencer_table(problem, schedule, "s")
        return
    table = sequencer_table(problem, schedule, "s")
    assert [step.start for step in table.steps] == [0, 15, 30]
    assert table.cycle == 60


def test_limits_of_the_cycle_time_lead_to_the_whole_unit_between_them() -> None:
    problem, schedule = solved(dryer)
    slower = replace(schedule, cycle=2392)  # 239.2 s, the moves as they are
    limited = Problem.from_data({**problem.to_data(), "cycle": {"max": 239.5}})
    assert hoistopt.replay(limited, slower).clean
    assert sequencer_table(problem, slower, "s").cycle == 240
    assert sequencer_table(limited, slower, "s").cycle == 239


def test_limits_of_the_cycle_time_hold_after_rounding() -> None:
    data = dryer().to_data()
    problem = Problem.from_data({**data, "cycle": {"max": 234}})
    schedule = hoistopt.solve(problem, workers=1).schedule
    assert schedule is not None
    assert sequencer_table(problem, schedule, "ds").cycle == 2340
    with pytest.raises(InputError, match="finer"):  # 235 s would be needed
        sequencer_table(problem, schedule, "s")


def test_few_carriers_are_enough_after_rounding() -> None:
    data = returning().to_data()
    count = hoistopt.replay(*solved(returning)).carriers_needed
    problem = Problem.from_data({**data, "carriers": {**data["carriers"], "count": count}})
    _, schedule = solved(returning)
    table = sequencer_table(problem, schedule, "s")
    assert hoistopt.replay(problem, schedule_of(problem, table)).carriers_needed == count


@pytest.mark.parametrize("unit", ["min", "h"])
def test_problems_in_other_units_are_exported_in_seconds(unit: str) -> None:
    per = {"min": 60, "h": 3600}[unit]
    problem = Problem.from_data(
        {
            "name": "Slow",
            "unit": unit,
            "hoist": {"lift": 0.1, "lower": 0.1},
            "times": {
                "loaded": [
                    {"from": "In", "to": "Bath", "time": 0.5},
                    {"from": "Bath", "to": "Out", "time": 0.7},
                ],
                "empty": [
                    {"from": a, "to": b, "time": 0.25}
                    for a in ("In", "Bath", "Out")
                    for b in ("In", "Bath", "Out")
                    if a != b
                ],
            },
            "station": [
                {"name": "In", "kind": "load"},
                {"name": "Bath"},
                {"name": "Out", "kind": "unload"},
            ],
            "recipe": [{"name": "R", "stage": [{"station": "Bath", "min": 3.125, "max": 4}]}],
        }
    )
    schedule = hoistopt.solve(problem, workers=1).schedule
    assert schedule is not None
    table = sequencer_table(problem, schedule, "s")
    lift = next(step for step in table.steps if step.fed_by)
    assert (lift.least, lift.most) == (-(-3125 * per // 1000), 4 * per)
    assert hoistopt.replay(problem, schedule_of(problem, table)).clean
