"""Hoists that give way where moves take no whole ticks: the checker, which follows exact times
by physics of its own, accepts all that the search finds."""

from __future__ import annotations

from random import Random

import pytest

from hoistopt import Hoist, Motion, Problem, Recipe, Stage, Station, Track, solve, verify
from hoistopt.analysis.figures.cautions import AT_THE_LEAST
from hoistopt.analysis.figures.report import report
from hoistopt.base.effort import Effort


def line(seed: int, acceleration: float | None) -> Problem:
    """Three to five tanks in any order, two hoists, a tick so coarse that every move ends
    between two ticks."""
    draw = Random(seed)
    count = draw.randint(3, 5)
    loaded = Motion(draw.choice([0.3, 0.5, 0.7]), acceleration=acceleration)
    hoists = []
    for name in "AB":
        empty = Motion(draw.choice([0.7, 0.9]), acceleration=acceleration)
        hoists.append(Hoist(name=name, lift=2, lower=2, loaded=loaded, empty=empty))
    order = list(range(1, count + 1))
    draw.shuffle(order)
    stages = []
    for tank in order:
        least = draw.choice([10, 20, 30])
        stages.append(Stage(f"T{tank}", min=least, max=least + draw.choice([5, 10, 20])))
    return Problem(
        "Between two ticks",
        stations=[
            Station("In", kind="load", position=0),
            *(Station(f"T{n}", position=n) for n in range(1, count + 1)),
            Station("Out", kind="unload", position=count + 1),
        ],
        recipes=[Recipe("Parts", stages)],
        hoist=hoists,
        track=Track(1, from_=-1, to=count + 2),
        tick=1,
    )


@pytest.mark.parametrize(
    ("acceleration", "seeds"), [(None, range(4, 12)), (0.3, range(36, 42))], ids=["even", "gaining"]
)
def test_moves_that_end_between_two_ticks(acceleration: float | None, seeds: range) -> None:
    given_way = 0
    for seed in seeds:
        problem = line(seed, acceleration)
        result = solve(problem, effort=Effort(10, 1))
        assert result.schedule is not None
        assert verify(problem, result.schedule) == ()
        given_way += bool(result.schedule.travels)
    assert given_way


def test_a_bound_that_counts_the_least_is_said_to() -> None:
    """Where it is met there is nothing to say; where it is not, the gap may be no real one."""
    seen = set()
    for seed in (39, 40, 41):
        problem = line(seed, 0.3)
        result = solve(problem, effort=Effort(10, 1))
        assert result.schedule is not None and result.replay is not None
        told = report(problem, result.schedule, result.replay, result.status).cautions
        assert (AT_THE_LEAST in told) is (result.status == "feasible")
        seen.add(result.status)
    assert seen == {"optimal", "feasible"}
