"""Float shared out among the moves of a schedule, its order and cycle time kept."""

from __future__ import annotations

from itertools import product

import pytest

from hoistopt import solve, verify
from hoistopt.graph.spread_margin import spread_float
from hoistopt.instance import build_instance
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule
from tests.helpers.lines.late_lines import later
from tests.helpers.lines.small_schedules import tiny_line
from tests.helpers.usual import first


def floats_of(problem: Problem, schedule: Schedule) -> list[int]:
    """Tick by tick against the checker, whatever any graph says."""
    found = []
    for number in range(len(schedule)):
        late = 0
        while late < schedule.cycle and not verify(problem, later(schedule, number, late + 1)):
            late += 1
        found.append(late)
    return found


@pytest.mark.parametrize("seeds", first(20, range(40)))
def test_float_is_shared_out_as_far_as_it_goes(seeds: range) -> None:
    """Against all starts that keep the order, on tiny lines, cycles longer than needed."""
    spread, tried = 0, 0
    for seed in seeds:
        problem, degree = tiny_line(seed)
        shortest = solve(problem, degree, workers=1).schedule
        if shortest is None or degree > 1:
            continue
        schedule = Schedule(shortest.cycle + 4, shortest.ticks_per_unit, shortest.steps)
        if verify(problem, schedule):
            continue
        tried += 1
        instance = build_instance(problem, degree)
        even = spread_float(problem, instance, schedule, [0] * len(instance.stays))
        assert verify(problem, even) == ()
        floats, others = floats_of(problem, even), _all_floats(problem, schedule)
        assert min(floats) == max(min(other) for other in others)
        assert not any(
            other != floats and all(b >= a for a, b in zip(floats, other, strict=True))
            for other in others
        )
        spread += min(floats) > min(floats_of(problem, schedule))
    assert tried >= 3
    assert spread >= 2


def _all_floats(problem: Problem, schedule: Schedule) -> list[list[int]]:
    """The floats of every schedule with the steps in this order, the first at 0."""
    found = []
    count, cycle = len(schedule), schedule.cycle
    for starts in product(range(1, cycle), repeat=count - 1):
        if list(starts) != sorted(set(starts)):
            continue
        steps = tuple(
            type(step)(start, step.source, step.target, step.recipe, step.load, step.stage,
                       step.boundaries)
            for step, start in zip(schedule.steps, (0, *starts), strict=True)
        )  # fmt: skip
        one = Schedule(cycle, schedule.ticks_per_unit, steps)
        if not verify(problem, one):
            found.append(floats_of(problem, one))
    return found
