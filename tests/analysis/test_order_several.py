"""Given orders of moves of two hoists, against brute force over all dwells in that order."""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest

from hoistopt import accepted, least_for_order
from hoistopt.base.effort import Effort
from hoistopt.base.errors import InputError
from hoistopt.schedule import Schedule, Step
from tests.reference.several import several

CHUNK = 12
LONGEST = 45


@pytest.mark.parametrize(
    "chunk", [pytest.param(n, marks=() if n == 0 else pytest.mark.long) for n in range(20)]
)
def test_the_least_cycle_of_an_order_is_that_of_brute_force(chunk: int) -> None:
    """With hoists that the table names, and hoists that it leaves open."""
    seen: Counter[str] = Counter()
    for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK):
        line, rng = several.draw(seed), Random(f"order {seed}")
        if any(len(tanks) > 1 for tanks, *_ in line.stages):
            continue
        try:
            problem = line.problem()
        except InputError:  # a station that no hoist reaches
            continue
        ways = ["In", *(tanks[0] for tanks, *_ in line.stages), "Out"]
        order = [0, *rng.sample(range(1, len(ways) - 1), len(ways) - 2)]
        by = [rng.choice((None, None, 0, 1)) for _ in order]
        steps = tuple(
            Step(
                start=number,
                source=ways[stage],
                target=ways[stage + 1],
                hoist=None if hoist is None else "AB"[hoist],
            )
            for number, (stage, hoist) in enumerate(zip(order, by, strict=True))
        )
        found = least_for_order(
            problem, Schedule(len(steps), 1, steps), compare=False, effort=Effort(15, 1)
        )
        if found.status == "cannot":
            assert several.least_cycle_in_order(line, order, by, LONGEST) is None, (line, order, by)
            assert found.conflict is not None or found.faults
        else:
            assert found.status == "runs" and found.exact, (line, order, by)
            cycle = int(found.cycle_time or 0)
            assert several.least_cycle_in_order(line, order, by, cycle) == cycle, (line, order, by)
            assert found.schedule is not None and accepted(problem, found.schedule).clean
            named = {(s.source, s.target): s.hoist for s in found.schedule}
            assert all(s.hoist in (None, named[s.source, s.target]) for s in steps)
        seen[found.status] += 1
    assert chunk or len(seen) == 2, seen
