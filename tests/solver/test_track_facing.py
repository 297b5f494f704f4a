"""What is known of the far side, as a front looks at it; times that cannot be."""

from __future__ import annotations

import numpy as np
import pytest

from hoistopt.solver.compiled import padded
from hoistopt.solver.cyclic.track.arithmetic import impossible, later, least
from hoistopt.solver.cyclic.track.arrays import Steps
from hoistopt.solver.cyclic.track.facing import nothing_known, turned
from hoistopt.solver.cyclic.track.span import SCALE


@pytest.mark.parametrize("count", [0, 1, 7, 8, 9, 24, 25])
def test_rows_of_times_go_through_whole_eights(count: int) -> None:
    assert count <= padded(count) < count + 8
    assert padded(count) % 8 == 0
    assert nothing_known(count).gaps.shape == (0, count, padded(count))


def test_time_is_impossible_where_it_is_at_least_a_tick() -> None:
    for time in range(-3 * SCALE, 3 * SCALE):
        assert impossible(time) == (least(time) > 0)


@pytest.mark.parametrize("crossings", [2, 6, 10])
def test_what_is_known_says_the_same_from_whichever_crossing_it_begins(crossings: int) -> None:
    rng = np.random.default_rng(crossings)
    low, high = 980, 1000
    many = [3, 1, 4]
    gaps = SCALE * rng.integers(-900, 900, (sum(many), crossings, crossings))
    gaps = (gaps + rng.integers(-1, 2, gaps.shape)).astype(np.int32)
    rest = rng.integers(0, 500, sum(many))
    begin = np.cumsum([0, *many])
    steps = Steps(begin, rest, begin[:-1] * crossings * crossings, gaps.reshape(-1))
    kinds = np.array([(number, start) for number in (2, 0, -1, 1) for start in range(crossings)])
    facing = turned(steps, kinds, crossings, low, high)
    for kind, (number, start) in enumerate(kinds):
        here = slice(facing.begin[kind], facing.begin[kind + 1])
        if number < 0:
            assert here.start == here.stop
            continue
        there = slice(begin[number], begin[number + 1])
        assert np.array_equal(facing.rest[here], rest[there])
        # Crossing x of the front is crossing x - start of the signature, the next of it for
        # those before the first of the front: from a later to an earlier, round the cycle.
        seen = (np.arange(crossings) - start) % crossings
        for mine, known in zip(facing.gaps[here], gaps[there], strict=True):
            for x in range(crossings):
                for y in range(crossings):
                    time = mine[x, y] if x <= y else later(mine[x, y], low, high)
                    assert least(time) == least(known[seen[x], seen[y]])
