"""The bound from chains of moves: never above the least cycle time, and what it is good for."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import product
from math import ceil

import numpy as np
import pytest

from benchmarks.lines.cases import Case
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort, Stop
from hoistopt.base.errors import InfeasibleError, InputError
from hoistopt.checker import replay
from hoistopt.instance import Instance, build_instance
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule
from hoistopt.solver import least_cycle
from hoistopt.solver.bounds import hoist_work_bound
from hoistopt.solver.chains import ChainBound
from hoistopt.solver.chains.kernel import possible
from hoistopt.solver.chains.kinds import Kinds, kinds_of
from tests.reference.lines import FAMILIES


def _bound(problem: Problem, degree: int, length: int = 9) -> ChainBound:
    bound = ChainBound(kinds_of(build_instance(problem, degree)))
    for most in (10, 100, 1000, 10_000):
        if bound.length < length:
            bound.raise_to(most, Clock())
    return bound


def _found(problem: Problem, degree: int) -> tuple[Instance, Schedule] | None:
    """A least cycle that takes no long search."""
    try:
        instance = build_instance(problem, degree)
    except (InputError, InfeasibleError):
        return None
    if instance.jobs > 3:
        return None
    found = least_cycle(instance, Clock(Effort(5, 1)))
    return None if found.schedule is None else (instance, found.schedule)


@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_no_cycle_of_any_degree_is_shorter_and_all_its_chains_are_possible(family: str) -> None:
    compared = 0
    for seed in range(9000, 9010):
        problem = FAMILIES[family](seed).problem
        per_set: Fraction | None = None  # the same for every degree
        for degree in (1, 2):
            found = _found(problem, degree)
            if found is None:
                continue
            compared += 1
            instance, schedule = found
            assert replay(problem, schedule).clean
            if per_set is None:
                per_set = _bound(problem, 1).per_set
            assert ceil(per_set * degree) <= schedule.cycle
            kinds = kinds_of(instance)
            for chain in _chains(instance, schedule):
                assert _possible(kinds, chain)
    assert compared >= 4


def _chains(instance: Instance, schedule: Schedule) -> Iterator[list[int]]:
    """Every chain of up to eight moves in a schedule."""
    names = dict.fromkeys((instance.recipes[move.job], move.stage) for move in instance.moves)
    number = {name: kind for kind, name in enumerate(names)}
    steps = sorted(schedule.steps, key=lambda step: step.start)
    order = [number[step.recipe or "", step.stage or 0] for step in steps]
    for begin, length in product(range(len(order)), range(2, min(9, 2 * len(order)))):
        yield (order * 3)[begin : begin + length]


def _possible(kinds: Kinds, chain: list[int]) -> bool:
    kept = possible(
        np.array([chain]), kinds.step, kinds.gap, kinds.ends, kinds.begins, kinds.least,
        kinds.most, kinds.fills, kinds.clears,
    )  # fmt: skip
    return bool(kept[0])


def _dip() -> Problem:
    """Two baths and between them a dip in which no other move fits."""
    stages = [
        {"station": "Bath 1", "min": 100},
        {"station": "Dip", "min": 10, "max": 15},
        {"station": "Bath 2", "min": 100},
    ]
    names = ["Bath 1", "Dip", "Bath 2"]
    return Problem.from_data(
        {
            "name": "dip",
            "tick": 1,
            "hoist": {"lift": 5, "lower": 5, "loaded": {"speed": 1}, "empty": {"speed": 1}},
            "station": [
                {"name": "In", "kind": "load", "position": 0},
                *({"name": name, "position": 5 * (n + 1)} for n, name in enumerate(names)),
                {"name": "Out", "kind": "unload", "position": 20},
            ],
            "recipe": [{"name": "all", "stage": stages}],
        }
    )


def test_a_short_window_makes_the_hoist_wait() -> None:
    # Each move 15; none fits into the dip's 15, so 15 + 10 + 15 go by from the lift at Bath 1
    # until the load is in Bath 2, whatever comes before and after.
    instance = build_instance(_dip(), 1)
    kinds = kinds_of(instance)
    after = [m for m in range(4) if _possible(kinds, [1, m])]
    assert after == [2]
    bound = _bound(_dip(), 1)
    assert bound.per_set >= 15 + 10 + 15 + 15 + 15


def test_longer_chains_never_make_it_lower() -> None:
    bound = ChainBound(kinds_of(build_instance(Case("zinc", 3, 0, 1).problem(), 1)))
    seen = []
    for most in (500, 1000, 2000, 10_000):
        bound.raise_to(most, Clock())
        seen.append((bound.length, bound.per_set))
    assert seen == sorted(set(seen))
    assert seen[-1][1] > 1.15 * hoist_work_bound(build_instance(Case("zinc", 3, 0, 1).problem(), 1))


def test_it_is_the_same_for_every_degree() -> None:
    problem = Case("zinc", 2, 0, 1).problem()
    bounds = {degree: _bound(problem, degree) for degree in (1, 2, 4)}
    assert len({bound.per_set for bound in bounds.values()}) == 1


def test_it_ends_when_the_clock_is_over() -> None:
    stop = Stop()
    stop.set()
    bound = ChainBound(kinds_of(build_instance(Case("zinc", 2, 0, 1).problem(), 1)))
    bound.raise_to(1000, Clock(Effort(stop=stop)))
    assert bound.per_set == 0
