"""What a line with two hoists loses without a tank of a group, against brute force."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hoistopt import Problem, accepted, load_problem, solve
from hoistopt.analysis.without import find_without
from hoistopt.base.effort import Effort
from hoistopt.base.errors import InputError
from hoistopt.planning.result import Result
from tests.helpers.command import PROBLEMS
from tests.reference.several import several


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


def test_without_a_hoist_the_line_is_one_of_the_other() -> None:
    compared = 0
    for seed in range(40):
        line = replace(several.draw(seed), beyond=(2, 2))
        try:
            problem = line.problem()
            found = find_without(problem, ["B"], Effort(4, 1))
        except InputError:
            continue
        data = problem.to_data()
        del data["track"]
        data["hoist"] = {k: v for k, v in data["hoist"][0].items() if k != "name"}
        for stage in data["recipe"][0]["stage"]:
            stage.pop("hoist", None)
        alone = solve(Problem.from_data(data), 1, effort=Effort(4, 1))
        (row,) = found.rows
        if row.result.choice is None or alone.status != "optimal":
            continue
        assert row.hoists == row.out == ("B",) and not row.tanks
        assert _of_degree_1(row.result) == alone.cycle_time, line
        compared += 1
        if compared == 3:
            break
    assert compared == 3


def test_a_hoist_that_the_others_cannot_do_without() -> None:
    data = load_problem(PROBLEMS / "several" / "two_hoists.toml").to_data()
    data["hoist"][0]["to"] = "Zinc 2"
    data["hoist"][1]["from"] = "Pickle"
    found = find_without(Problem.from_data(data), ["Downstream"], Effort(3, 1))
    (row,) = found.rows
    assert row.result.status == "infeasible"
    assert (
        row.result.reason is not None and "a station that some hoist reaches" in row.result.reason
    )


@pytest.mark.parametrize("names", [["Upstream", "Downstream"], ["Middle"]])
def test_hoists_without_which_nobody_knows_where_they_are(names: list[str]) -> None:
    data = load_problem(PROBLEMS / "several" / "two_hoists.toml").to_data()
    if "Middle" in names:
        data["hoist"] = [data["hoist"][0], {**data["hoist"][0], "name": "Middle"}, data["hoist"][1]]
    with pytest.raises(InputError, match="none of those on both sides"):
        find_without(Problem.from_data(data), names, Effort(3, 1))
