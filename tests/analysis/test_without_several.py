"""What a line with two hoists loses without a tank of a group, against brute force."""

from __future__ import annotations

from dataclasses import replace

from hoistopt import accepted, load_problem
from hoistopt.analysis.without import find_without
from hoistopt.base.effort import Effort
from hoistopt.base.errors import InputError
from hoistopt.planning.result import Result
from tests.helpers.command import PROBLEMS
from tests.reference import several


def test_without_a_tank_the_cycle_is_that_of_brute_force() -> None:
    longer = compared = 0
    for seed in range(30):
        if compared >= 4 and longer:
            break
        line = several.draw(seed)
        if "T3" not in line.positions:
            continue
        (_, *first), (_, *then) = line.stages[:2]
        stages = ((("T1", "T2"), *first), (("T3",), *then))
        line = replace(line, stages=stages, beyond=(2, 2))
        try:
            found = find_without(line.problem(), (), Effort(4, 1))
        except InputError:  # a station that no hoist reaches
            continue
        whole = _of_degree_1(found.whole)
        for row in found.rows:
            alone = _of_degree_1(row.result)
            if alone is None or whole is None:
                continue
            tanks = tuple({"T1", "T2"} - set(row.tanks))
            changed = replace(line, stages=((tanks, *first), stages[1]))
            least = several.least_cycle(changed, int(alone))
            assert least == alone, (line, row.tanks)
            compared += 1
            longer += alone > whole
    assert compared > 2 and longer


def _of_degree_1(result: Result) -> float | None:
    """The cycle time of one load a cycle, where it is known to be the least."""
    results = [result] if result.choice is None else result.choice.results
    proved = (r.cycle_time for r in results if r.degree == 1 and r.status == "optimal")
    return next(proved, None)


def test_the_demo_line_without_a_zinc_tank() -> None:
    problem = load_problem(PROBLEMS / "several" / "two_hoists.toml")
    found = find_without(problem, ("Zinc 1",), Effort(5, 1))
    (row,) = found.rows
    assert row.result.problem is not None and row.result.schedule is not None
    assert not any(step.target == "Zinc 1" for step in row.result.schedule)
    assert accepted(row.result.problem, row.result.schedule).clean
