"""Fixed dwells, both ends of the window one figure, where moves take no whole number of ticks.

Planned on ticks, such a dwell cannot be kept to the last fraction. The rule, for solver and
checker alike: never shorter than stated, and longer by less than a tick.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from random import Random
from typing import Any

import pytest

from hoistopt import Schedule, Step, verify
from hoistopt.analysis.figures import report
from hoistopt.exports import export_text, sequencer_table
from hoistopt.problem import Problem
from tests.helpers.answers import answer
from tests.reference.brute import least_cycle
from tests.reference.clock import Clock
from tests.reference.published.sieve import least_cycle_fixed_dwells


def fixed_line(rng: Random, tanks: int, share_fixed: float = 1) -> Problem:
    """A line with speeds and accelerations, some or all of its dwells fixed; tick 0.1 s."""
    names = ["In", *(f"T{number}" for number in range(1, tanks + 1)), "Out"]
    stations: list[dict[str, Any]] = [
        {"name": name, "position": Decimal(rng.randint(90, 130) * place) / 100}
        for place, name in enumerate(names)
    ]
    stations[0] |= {"kind": "load", "capacity": "unlimited"}
    stations[-1] |= {"kind": "unload", "capacity": "unlimited"}
    stages: list[dict[str, Any]] = []
    for name in names[1:-1]:
        least = Decimal(rng.randint(50, 900)) / 10
        stage = {"station": name, "min": least, "drip": rng.choice((0, Decimal("2.5")))}
        if rng.random() < share_fixed:
            stage["max"] = least
        elif rng.random() < 0.7:
            stage["max"] = least + Decimal(rng.randint(1, 120)) / 10
        stages.append(stage)
    hoist = {
        "lift": Decimal("4.2"),
        "lower": Decimal("3.3"),
        "loaded": {"speed": Decimal("0.37"), "acceleration": Decimal("0.3"), "settling": 1},
        "empty": {"speed": Decimal("0.7"), "acceleration": Decimal("0.41")},
    }
    return Problem.from_data(
        {
            "name": "Fixed",
            "tick": Decimal("0.1"),
            "hoist": hoist,
            "station": stations,
            "recipe": [{"name": "R", "stage": stages}],
        }
    )


def least_by_sieve(problem: Problem) -> int:
    """By the sieve for fixed dwells, all moves and travels rounded up to ticks."""
    clock, stages = Clock(problem), problem.recipes[0].stages
    places = ["In", *(stage.station[0] for stage in stages), "Out"]
    drips = [0, *(stage.drip for stage in stages)]
    moves = [clock.loaded(*way, drip) for way, drip in zip(pairwise(places), drips, strict=True)]
    loaded = [move[0] for move in moves if move is not None]
    empty = [[clock.empty(a, b) for b in places] for a in places]
    return least_cycle_fixed_dwells(loaded, empty, [clock.up(stage.min) for stage in stages])


@pytest.mark.parametrize("seed", range(40))
def test_lines_of_fixed_dwells_take_what_the_sieve_says(seed: int) -> None:
    # Source: Levner, Kats and Levit (1997), An improved algorithm for cyclic flowshop
    # scheduling in a robotic cell, European J. Operational Research 97, 500-508.
    rng = Random(f"fixed {seed}")
    problem = fixed_line(rng, rng.randint(2, 9))
    result = answer(problem)
    assert result.schedule is not None
    assert result.replay is not None
    assert result.schedule.cycle == least_by_sieve(problem)
    fixed = [stay for stay in result.replay.stays if stay.most is not None]
    over = [stay.dwell - stay.least for stay in fixed if stay.dwell is not None]
    assert len(over) >= 2
    assert all(0 <= late < Fraction(1, 10) for late in over)
    assert any(over)


@pytest.mark.parametrize("seed", range(40))
def test_lines_with_some_fixed_dwells_take_what_trying_everything_says(seed: int) -> None:
    rng = Random(f"some fixed {seed}")
    problem = fixed_line(rng, rng.randint(2, 4), share_fixed=0.6)
    schedule = answer(problem).schedule
    assert (None if schedule is None else schedule.cycle) == least_cycle(problem)


def one_tank(time: str, least: str = "20", most: str = "20", tick: str = "0.1") -> Problem:
    names = ["In", "A", "Out"]
    stations: list[dict[str, Any]] = [{"name": name} for name in names]
    stations[0] |= {"kind": "load", "capacity": "unlimited"}
    stations[2] |= {"kind": "unload", "capacity": "unlimited"}
    loaded = [("In", "A", Decimal(time)), ("A", "Out", 5)]
    return Problem.from_data(
        {
            "name": "One tank",
            "tick": Decimal(tick),
            "station": stations,
            "recipe": [
                {
                    "name": "R",
                    "stage": [{"station": "A", "min": Decimal(least), "max": Decimal(most)}],
                }
            ],
            "times": {
                "loaded": [{"from": u, "to": v, "time": t} for u, v, t in loaded],
                "empty": [{"from": u, "to": v, "time": 1} for u in names for v in names if u != v],
            },
        }
    )


def lifted_at(start: str) -> Schedule:
    """Out of A at that time, brought there from 0 on."""
    steps = (Step(0, "In", "A"), Step(int(Decimal(start) * 1000), "A", "Out"))
    return Schedule(60_000, Fraction(1000), steps)


# The move ends at 5.04, planned 5.1, so a dwell of 20 is lifted by 25.1 at the latest.
@pytest.mark.parametrize(
    ("start", "fault"),
    [("25.039", "too short"), ("25.04", None), ("25.1", None), ("25.101", "too long")],
)
def test_the_checker_lets_a_fixed_dwell_end_at_the_next_tick_and_no_later(
    start: str, fault: str | None
) -> None:
    found = verify(one_tank("5.04"), lifted_at(start))
    assert len(found) == (fault is not None)
    assert fault is None or fault in found[0].message


@pytest.mark.parametrize("start", ["25.1", "25.001"])
def test_a_fixed_dwell_after_a_move_of_whole_ticks_is_exact(start: str) -> None:
    (violation,) = verify(one_tank("5"), lifted_at(start))
    assert "too long" in violation.message
    assert answer(one_tank("5")).status == "optimal"


def test_a_window_with_room_for_rounding_keeps_its_maximum() -> None:
    (violation,) = verify(one_tank("5.04", most="20.1"), lifted_at("25.141"))
    assert "max. 20.1 s (" in violation.message
    (violation,) = verify(one_tank("5.04", "19.97", "19.98"), lifted_at("25.05"))
    assert "max. 19.98 s (" in violation.message


def test_what_was_done_stands_among_the_cautions() -> None:
    problem = one_tank("5.04")
    result = answer(problem)
    assert result.schedule is not None
    assert result.replay is not None
    told = report(problem, result.schedule, result.replay).cautions
    (fixed,) = [text for text in told if text.startswith("Fixed times")]
    assert "load 1 stays in A 0.06 s longer than its maximum of 20 s" in fixed
    assert "a tick of 0.1 s" in fixed
    exact = answer(one_tank("5"))
    assert exact.schedule is not None
    assert exact.replay is not None
    told = report(one_tank("5"), exact.schedule, exact.replay).cautions
    assert not any("Fixed times" in text for text in told)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("unit", ["ms", "ds"])
def test_lines_of_fixed_dwells_are_exported(seed: int, unit: str) -> None:
    """What is written is read back and replayed, with the windows as the file states them."""
    problem = fixed_line(Random(f"exported {seed}"), 4)
    schedule = answer(problem).schedule
    assert schedule is not None
    table = sequencer_table(problem, schedule, unit)
    for form in ("csv", "json", "st", "xml"):
        assert export_text(problem, table, form)
