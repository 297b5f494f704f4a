"""Programmes of least finish against HiGHS (scipy) on a mixed-integer program with big constants.

Starts as real numbers, for every two moves of different loads a zero-one variable that says
which comes first. Lines with plain tanks and ends without occupation; durations are those of
the reference.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations, count, pairwise
from random import Random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

import hoistopt
from hoistopt import Order
from hoistopt.base.effort import Effort
from hoistopt.base.errors import InputError
from hoistopt.problem import Problem
from tests.reference.clock import Clock
from tests.reference.lines import FAMILIES

CASES = 18
"""Lines of each family in the usual run, and once more, other ones, with ``--long``."""


def plain(problem: Problem) -> bool:
    """Whether the program below says all there is to say of a line."""
    tanks = all(station.capacity in (1, "unlimited") for station in problem.stations)
    ends = not any(station.min_occupation for station in problem.stations)
    single = all(len(s.station) == 1 for recipe in problem.recipes for s in recipe.stages)
    return tanks and ends and single and problem.carriers.count is None


class Program:
    """Rows of ``least <= a x <= most`` over starts, orders and the finish."""

    def __init__(self, problem: Problem, orders: list[Order], finish: int) -> None:
        # Were the true finish earlier than the one in question, it would be found; were it
        # later, there would be no solution.
        self.horizon = float(finish)
        self.clock = Clock(problem)
        self.rows: list[dict[int, float]] = []
        self.least: list[float] = []
        self.low: dict[int, float] = {}
        self.binary: set[int] = set()
        self.size = 1  # the finish comes first
        self.ways = [self._way(problem, order) for order in orders]
        self.before: dict[tuple[int, int], int] = {}
        for one, other in combinations(self.ways, 2):
            for a in one:
                for b in other:
                    self._apart(a, b)
        for one, other in combinations(self.ways, 2):
            self._one_in_a_tank(one, other)

    def variable(self) -> int:
        self.size += 1
        return self.size - 1

    def at_least(self, terms: dict[int, float], least: float) -> None:
        """Demand that a sum is at least something."""
        self.rows.append(terms)
        self.least.append(least)

    def _way(self, problem: Problem, order: Order) -> list[tuple[int, str, str, int]]:
        """The moves of a load: variable of the start, from, to, ticks."""
        recipe = problem.recipe_by_name[order.recipe]
        names = [stage.station[0] for stage in recipe.stages]
        names = [problem.load_station(recipe).name, *names, problem.unload_station(recipe).name]
        way: list[tuple[int, str, str, int]] = []
        longer = False
        for stage, (source, target) in enumerate(pairwise(names)):
            drip = recipe.stages[stage - 1].drip if stage else 0
            time = self.clock.loaded(source, target, drip)
            assert time is not None
            start = self.variable()
            if way:
                last, _, _, ticks = way[-1]
                low, high = self.clock.window(recipe.stages[stage - 1], longer=longer)
                self.at_least({start: 1, last: -1}, ticks + low)
                if high is not None:
                    self.at_least({last: 1, start: -1}, -ticks - high)
            else:
                self.low[start] = float(order.release / self.clock.tick)
            for last, _, reached, ticks in way:
                self.at_least({start: 1, last: -1}, ticks + self.clock.empty(reached, source))
            longer = time[1]
            way.append((start, source, target, time[0]))
            self.at_least({0: 1, start: -1}, time[0])
        return way

    def _apart(self, a: tuple[int, str, str, int], b: tuple[int, str, str, int]) -> None:
        first = self.before[a[0], b[0]] = self.variable()
        self.binary.add(first)
        after = a[3] + self.clock.empty(a[2], b[1])
        self.at_least({b[0]: 1, a[0]: -1, first: -self.horizon - after}, -self.horizon)
        after = b[3] + self.clock.empty(b[2], a[1])
        self.at_least({a[0]: 1, b[0]: -1, first: self.horizon + after}, after)

    def _one_in_a_tank(
        self, one: list[tuple[int, str, str, int]], other: list[tuple[int, str, str, int]]
    ) -> None:
        for place in range(len(one) - 1):
            for there in range(len(other) - 1):
                if one[place][2] != other[there][2]:
                    continue
                # One has left before the other comes, or comes after the other has left.
                gone = self.before[one[place + 1][0], other[there][0]]
                later = self.before[one[place][0], other[there + 1][0]]
                self.at_least({gone: 1, later: -1}, 0)

    def least_finish(self) -> int | None:
        matrix = np.zeros((len(self.rows), self.size))
        for number, terms in enumerate(self.rows):
            for variable, factor in terms.items():
                matrix[number, variable] = factor
        lower = np.zeros(self.size)
        upper = np.full(self.size, self.horizon)
        whole = np.zeros(self.size)
        for variable, low in self.low.items():
            lower[variable] = low
        for variable in self.binary:
            upper[variable] = whole[variable] = 1
        finish = np.zeros(self.size)
        finish[0] = 1
        found = milp(
            finish,
            constraints=LinearConstraint(matrix, np.array(self.least), np.inf),
            bounds=Bounds(lower, upper),
            integrality=whole,
            options={"mip_rel_gap": 0},
        )
        assert found.status in (0, 2), found.message
        return round(found.fun) if found.status == 0 else None


@pytest.mark.parametrize("first", [0, pytest.param(1000, marks=pytest.mark.long)])
@pytest.mark.parametrize("family", ["plain", "tight", "reentrant", "mixed", "entering"])
def test_the_least_finish_is_that_of_the_mixed_integer_program(family: str, first: int) -> None:
    compared = 0
    for seed in count(first):
        if compared == CASES:
            return
        problem = FAMILIES[family](seed).problem
        data = problem.to_data()
        data["station"] = [
            {key: value for key, value in station.items() if key != "min_occupation"}
            for station in data["station"]
        ]
        problem = Problem.from_data(data)
        if not plain(problem):
            continue
        rng = Random(f"linear {family} {seed}")
        names = [recipe.name for recipe in problem.recipes]
        size = 2 if max(len(recipe.stages) for recipe in problem.recipes) > 3 else 3
        orders = [Order(rng.choice(names), 1, Fraction(rng.randint(0, 50))) for _ in range(size)]
        try:
            found = hoistopt.plan(problem, orders, effort=Effort(30, 1))
        except InputError:
            continue
        assert found.programme is not None and found.status == "optimal"
        planned = round(found.finish * found.programme.ticks_per_unit)  # type: ignore[operator]
        assert planned == Program(problem, orders, planned).least_finish(), (family, seed)
        compared += 1
