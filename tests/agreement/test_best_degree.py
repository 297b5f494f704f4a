"""The degree chosen is the best by brute force, which tries every degree by itself."""

from __future__ import annotations

from fractions import Fraction

import pytest

from hoistopt import InputError, solve
from hoistopt.planning.result import exact_time_per_load
from tests.helpers.usual import first
from tests.reference.brute import least_cycle
from tests.reference.lines import FAMILIES


@pytest.mark.parametrize("seeds", first(12, range(31_000, 31_025)))
@pytest.mark.parametrize("family", ["plain", "parallel", "slots", "carriers", "limits"])
def test_best_agrees_with_brute_force_at_every_degree(family: str, seeds: range) -> None:
    """Every degree whose cycle is small enough to try all orders of; none beats the choice."""
    compared = 0
    for seed in seeds:
        problem = FAMILIES[family](seed).problem
        moves = sum(len(problem.recipe_by_name[n].stages) + 1 for n in problem.load_set)
        small = [degree for degree in (1, 2, 3) if degree * moves <= 6]
        if 2 not in small:
            continue
        try:
            found = solve(problem, "best", workers=1, time_limit=20)
        except InputError:
            continue
        choice = found.choice
        if choice is None:  # no way to move a load at all
            assert all(least_cycle(problem, degree) is None for degree in small)
            continue
        by_degree = {result.degree: result for result in choice.results}
        for degree in small:
            least = least_cycle(problem, degree)
            if least is None:
                assert by_degree[degree].schedule is None
                continue
            assert found.schedule is not None
            per_tick = found.schedule.ticks_per_unit
            mean = Fraction(least, degree) / per_tick / len(problem.load_set)
            assert exact_time_per_load(found) <= mean, f"{family} {seed} at {degree}"
            bound = Fraction(str(choice.least_per_load))
            assert bound <= mean + Fraction(1, 10**9), f"{family} {seed} at {degree}"
            if degree == found.degree:
                assert exact_time_per_load(found) == mean
            compared += 1
    assert compared >= 2
