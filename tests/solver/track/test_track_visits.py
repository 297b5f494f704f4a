"""All visits to one side of a cut together: as linear programs and assignments say."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest
from scipy.optimize import linear_sum_assignment, linprog

from hoistopt.solver.cyclic.track.bounds.visits import limit_visits, total_time, workspace
from hoistopt.solver.cyclic.track.times.arithmetic import minimum, minus_cycle, plus_cycle, slope
from hoistopt.solver.cyclic.track.times.span import SCALE

Gaps = npt.NDArray[np.int32]

CYCLE = 1000


def crossings(rng: np.random.Generator, visits: int) -> tuple[Gaps, npt.NDArray[np.int64]]:
    """Least times between crossings that some schedule keeps, all that follows added."""
    count = 2 * visits
    at = np.sort(rng.choice(CYCLE, count, replace=False))
    loose = rng.integers(0, 300, (count, count)) * (rng.random((count, count)) < 0.7)
    gaps = at[None, :] - at[:, None] - np.where(loose, loose, CYCLE)
    for k in range(count - 1):
        gaps[k, k + 1] = max(gaps[k, k + 1], 0)
    gaps[count - 1, 0] = max(gaps[count - 1, 0], -CYCLE)
    np.fill_diagonal(gaps, 0)
    for k in range(count):
        gaps = np.maximum(gaps, gaps[:, k, None] + gaps[None, k])
    return (SCALE * gaps).astype(np.int32), at


def least_by_program(gaps: Gaps) -> int:
    """Least time of all visits, by HiGHS through scipy."""
    count = len(gaps)
    rows, most = [], []
    for x in range(count):
        for y in range(count):
            if x != y:
                row = np.zeros(count)
                row[x], row[y] = 1, -1
                rows.append(row)
                most.append(-gaps[x, y] / SCALE)
    goal = np.tile([1.0, -1.0], count // 2)  # ends of visits come first in the cycle
    found = linprog(goal, rows, most, bounds=[(0, 2 * CYCLE)] * count)
    assert found.status == 0
    return round(found.fun) + CYCLE


@pytest.mark.parametrize("visits", [1, 2, 3, 6, 11])
def test_visits_together_take_what_a_linear_program_says(visits: int) -> None:
    # Source: duality of network flows; the reference is a general-purpose solver.
    beyond_each = 0
    for seed in range(60):
        gaps, at = crossings(np.random.default_rng([visits, seed]), visits)
        space = workspace(visits)
        found = int(minimum(total_time(gaps, space, CYCLE, CYCLE)))
        assert found == least_by_program(gaps)
        truth = int((at[0::2] - at[1::2]).sum()) + CYCLE
        assert found <= truth
        alone = [
            int(minimum(plus_cycle(gaps[-1, 0], CYCLE, CYCLE))) if k == visits - 1
            else int(minimum(gaps[2 * k + 1, 2 * k + 2]))
            for k in range(visits)
        ]  # fmt: skip
        beyond_each += found > sum(alone)
    assert beyond_each or visits == 1


@pytest.mark.parametrize("visits", [2, 5, 9])
def test_the_assignment_is_the_best(visits: int) -> None:
    # Source: scipy.optimize.linear_sum_assignment, a general-purpose reference.
    for seed in range(60):
        gaps, _ = crossings(np.random.default_rng([7, visits, seed]), visits)
        space = workspace(visits)
        total_time(gaps, space, CYCLE, CYCLE)
        worth = space.worth[:visits, :visits]
        rows, columns = linear_sum_assignment(worth, maximize=True)
        mine = sorted(space.mate[:visits])
        assert mine == list(range(visits))
        assert worth[space.mate[:visits], range(visits)].sum() == worth[rows, columns].sum()


@pytest.mark.parametrize("visits", [2, 5, 9])
def test_an_assignment_kept_where_prices_allow_it_is_as_good_as_a_new_one(visits: int) -> None:
    kept = 0
    for seed in range(60):
        rng = np.random.default_rng([11, visits, seed])
        gaps, _ = crossings(rng, visits)
        space = workspace(visits)
        total_time(gaps, space, CYCLE, CYCLE)
        mate = space.mate.copy()
        longer = rng.random(gaps.shape) < 0.1
        gaps += (SCALE * rng.integers(0, 60, gaps.shape) * longer).astype(np.int32)
        again = minimum(total_time(gaps, space, CYCLE, CYCLE, True))
        kept += np.array_equal(mate, space.mate)
        assert again == minimum(total_time(gaps, workspace(visits), CYCLE, CYCLE))
    assert 0 < kept < 60


@pytest.mark.parametrize("wide", [0, 1, 40])
def test_no_schedule_is_lost_by_holding_visits(wide: int) -> None:
    span = CYCLE - wide, CYCLE + wide // 2
    told = 0
    for seed in range(200):
        rng = np.random.default_rng([3, wide, seed])
        visits = int(rng.integers(1, 7))
        gaps, at = crossings(rng, visits)
        space = workspace(visits)
        sum_ = total_time(gaps, space, *span)
        took = int((at[0::2] - at[1::2]).sum()) + CYCLE
        assert minimum(sum_) <= took
        assert -minimum(minus_cycle(sum_, *span)) >= CYCLE - took
        other = int(rng.integers(0, CYCLE - took + 1))  # the hoist has time for it
        told += limit_visits(gaps, space, other, *span)
        for x in range(2 * visits):
            for y in range(2 * visits):
                low = int(minimum(gaps[x, y]))
                turns = int(slope(gaps[x, y]))
                here = low + max(turns, 0) * (span[1] - CYCLE) + max(-turns, 0) * (CYCLE - span[0])
                assert here <= at[y] - at[x], f"{seed}: {x} to {y}"
    assert told
