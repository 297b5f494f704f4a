"""A line run out of the cycle under way: the rest of that cycle is there to begin with."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

import pytest

import hoistopt
from hoistopt import LineState, Problem, Programme
from hoistopt.base.errors import InputError
from hoistopt.instance.build_finite import build_finite
from hoistopt.instance.finite import FiniteInstance
from hoistopt.planning.run_out import run_out

SEVERAL = "problems/several/two_hoists.toml"


def _under_way(path: str) -> Iterator[tuple[Problem, LineState, FiniteInstance]]:
    problem = hoistopt.load_problem(path)
    cycle = hoistopt.solve(problem, degree=1, time_limit=5, workers=1).schedule
    assert cycle is not None
    for step in tuple(cycle)[::3]:
        state = hoistopt.state_in_cycle(problem, cycle, cycle.time(step.start))
        try:
            yield problem, state, build_finite(problem, state)
        except InputError:  # two hoists on their way, and a state does not tell how fast
            assert state.hoists


@pytest.mark.parametrize("path", ["problems/three_tanks_dryer.toml", SEVERAL])
def test_the_rest_of_the_cycle_is_a_programme(path: str) -> None:
    tried = 0
    for problem, state, instance in _under_way(path):
        assert state.onward is not None
        (timing,) = run_out(problem, instance, state)
        if not state.hoists:
            seen = hoistopt.replay_programme(problem, state.onward, state)
            assert seen.clean and sorted(seen.out) == sorted(state.loads)
        answer = hoistopt.plan(problem, state=state, time_limit=1, workers=1)
        assert answer.finish is not None
        assert Fraction(str(answer.finish)) <= timing.finish / instance.ticks_per_unit
        tried += 1
    assert tried >= 2


def test_it_is_left_out_where_a_move_is_missing() -> None:
    problem, state, instance = next(_under_way("problems/three_tanks_dryer.toml"))
    assert state.onward is not None
    short = Programme(state.onward.ticks_per_unit, state.onward.steps[1:])
    assert run_out(problem, instance, replace(state, onward=short)) == []
