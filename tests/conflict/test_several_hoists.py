"""Why lines with two hoists have no schedule so quick, against brute force."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from hoistopt import Problem, find_conflict, load_problem, solve
from hoistopt.base.errors import InfeasibleError, InputError
from hoistopt.conflict.relaxation import Change
from tests.helpers.command import PROBLEMS
from tests.reference.several import several

CHUNK = 4


def changed(line: several.TwoHoists, change: Change, less: int) -> several.TwoHoists:
    """The line with a window changed, but by so much less."""
    limit, stages = change.limit, list(line.stages)
    tanks, low, high = stages[limit.stage - 1]
    new = int(change.new)
    window = (new + less, high) if limit.kind == "min" else (low, new - less)
    stages[limit.stage - 1] = (tanks, *window)
    return replace(line, stages=tuple(stages))


def without(line: several.TwoHoists, stage: int) -> several.TwoHoists:
    """The line without a minimum."""
    tanks, _, high = line.stages[stage - 1]
    stages = [*line.stages[: stage - 1], (tanks, 0, high), *line.stages[stage:]]
    return replace(line, stages=tuple(stages))


@pytest.mark.parametrize(
    "chunk", [pytest.param(n, marks=() if n == 0 else pytest.mark.long) for n in range(30)]
)
def test_what_conflicts_and_what_helps_is_what_brute_force_says(chunk: int) -> None:
    seen: Counter[str] = Counter()
    for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK):
        line = several.draw(seed)
        try:
            problem = line.problem()
            quickest = solve(problem, workers=1, time_limit=30)
        except (InputError, InfeasibleError):
            continue
        if quickest.cycle_time is None:
            continue
        least = int(quickest.cycle_time)
        assert find_conflict(problem, at_most=least, workers=1).status == "possible"
        found = find_conflict(problem, at_most=least - 1, by=3, workers=1)
        assert found.status == "none" and found.least == least, line
        assert several.least_cycle(line, least - 1) is None
        assert found.subset is not None and "longest" in {d.kind for d in found.subset.demands}
        for demand, needed in zip(found.subset.demands, found.subset.necessary, strict=True):
            seen[demand.kind] += 1
            if demand.kind == "minimum" and needed is False:
                assert several.least_cycle(without(line, demand.stage), least - 1) is None
        for relaxation in found.relaxations:
            seen[relaxation.status] += 1
            if relaxation.status != "least" or len(relaxation.changes) != 1:
                continue
            (change,) = relaxation.changes
            assert several.least_cycle(changed(line, change, 0), least - 1) is not None, line
            assert several.least_cycle(changed(line, change, 1), least - 1) is None, line
            seen["single"] += 1
    assert chunk or (seen["longest"] and seen["single"] and seen["distance"] + seen["minimum"])


def test_hoists_that_may_pass_one_another_are_told_of() -> None:
    """A cycle that only the distance forbids is possible without it, and the set says so."""
    for seed in range(40):
        line = several.draw(seed)
        try:
            problem = line.problem()
            quickest = solve(problem, workers=1, time_limit=30).cycle_time
        except (InputError, InfeasibleError):
            continue
        if quickest is None:
            continue
        found = find_conflict(problem, at_most=quickest - 1, hoist_by=0, workers=1)
        assert found.subset is not None
        named = {demand.kind: needed for demand, needed in zip(
            found.subset.demands, found.subset.necessary, strict=True)}  # fmt: skip
        if "distance" in named:
            assert any("least distance of" in str(demand) for demand in found.subset.demands)
            return
    raise AssertionError("no line whose cycle only the distance holds")


def test_solve_names_what_conflicts_on_a_line_of_two_hoists() -> None:
    data = load_problem(PROBLEMS / "several" / "two_hoists.toml").to_data()
    problem = Problem.from_data({**data, "cycle": {"max": 200}})
    found = solve(problem, workers=1, time_limit=20)
    assert found.status == "infeasible" and found.reason is not None
    assert "a cycle of at most 200 s" in found.reason
    assert "the minimum of 240 s in Zinc 1 or 2" in found.reason
