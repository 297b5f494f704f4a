"""Completion bounds aligned with the states of a pattern; packed times that are positive."""

from __future__ import annotations

import numpy as np
import pytest

from hoistopt.solver.compiled import padded
from hoistopt.solver.cyclic.track.bounds.aligned import aligned, no_bounds
from hoistopt.solver.cyclic.track.bounds.completion import BoundSteps
from hoistopt.solver.cyclic.track.times.arithmetic import minimum, plus_cycle, positive
from hoistopt.solver.cyclic.track.times.span import SCALE


@pytest.mark.parametrize("count", [0, 1, 7, 8, 9, 24, 25])
def test_rows_of_times_go_through_whole_eights(count: int) -> None:
    assert count <= padded(count) < count + 8
    assert padded(count) % 8 == 0
    assert no_bounds(count).separation.shape == (0, count, padded(count))


def test_a_packed_time_is_positive_where_it_is_at_least_a_tick() -> None:
    for time in range(-3 * SCALE, 3 * SCALE):
        assert positive(time) == (minimum(time) > 0)


@pytest.mark.parametrize("crossings", [2, 6, 10])
def test_bounds_say_the_same_from_whichever_crossing_they_begin(crossings: int) -> None:
    rng = np.random.default_rng(crossings)
    low, high = 980, 1000
    many = [3, 1, 4]
    gaps = SCALE * rng.integers(-900, 900, (sum(many), crossings, crossings))
    gaps = (gaps + rng.integers(-1, 2, gaps.shape)).astype(np.int32)
    rest = rng.integers(0, 500, sum(many))
    begin = np.cumsum([0, *many])
    steps = BoundSteps(begin, rest, begin[:-1] * crossings * crossings, gaps.reshape(-1))
    kinds = np.array([(number, start) for number in (2, 0, -1, 1) for start in range(crossings)])
    found = aligned(steps, kinds, crossings, low, high)
    for kind, (number, start) in enumerate(kinds):
        here = slice(found.begin[kind], found.begin[kind + 1])
        if number < 0:
            assert here.start == here.stop
            continue
        there = slice(begin[number], begin[number + 1])
        assert np.array_equal(found.rest[here], rest[there])
        # Crossing x of the states is crossing x - start of the key, its next occurrence for
        # those before the first of the states: from a later to an earlier, round the cycle.
        seen = (np.arange(crossings) - start) % crossings
        for mine, known in zip(found.separation[here], gaps[there], strict=True):
            for x in range(crossings):
                for y in range(crossings):
                    time = mine[x, y] if x <= y else plus_cycle(mine[x, y], low, high)
                    assert minimum(time) == minimum(known[seen[x], seen[y]])
