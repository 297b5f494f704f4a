"""Hoists that give way where moves take no whole ticks: the checker, which follows exact times
by physics of its own, accepts all that the search finds."""

from __future__ import annotations

import pytest

from hoistopt import solve, verify
from hoistopt.analysis.figures.cautions import AT_THE_LEAST
from hoistopt.analysis.figures.report import report
from hoistopt.base.effort import Effort
from tests.helpers.hoists.two_hoists import between_ticks


@pytest.mark.parametrize(
    ("acceleration", "seeds"), [(None, range(4, 12)), (0.3, range(36, 42))], ids=["even", "gaining"]
)
def test_moves_that_end_between_two_ticks(acceleration: float | None, seeds: range) -> None:
    given_way = 0
    for seed in seeds:
        problem = between_ticks(seed, acceleration)
        result = solve(problem, effort=Effort(10, 1))
        assert result.schedule is not None
        assert verify(problem, result.schedule) == ()
        given_way += bool(result.schedule.travels)
    assert given_way


def test_a_bound_that_counts_the_least_is_said_to() -> None:
    """Where it is met there is nothing to say; where it is not, the gap may be no real one."""
    seen = set()
    for seed in (39, 40, 41):
        problem = between_ticks(seed, 0.3)
        result = solve(problem, effort=Effort(10, 1))
        assert result.schedule is not None and result.replay is not None
        told = report(problem, result.schedule, result.replay, result.status).cautions
        assert (AT_THE_LEAST in told) is (result.status == "feasible")
        seen.add(result.status)
    assert seen == {"optimal", "feasible"}
