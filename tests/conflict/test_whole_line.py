"""Whether leaving out one demand of a conflict is enough for the whole line, and what is not."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

import pytest

from hoistopt import Problem, find_conflict, solve
from hoistopt.conflict import Conflict, UnsatisfiableSubset
from hoistopt.conflict.demands import HOIST, Demand, demands
from hoistopt.conflict.mus import Oracle, minimal_subset
from hoistopt.conflict.soft import held_to
from hoistopt.conflict.whole import in_whole_line
from hoistopt.instance import build_instance
from hoistopt.instance.edits import with_windows
from hoistopt.show.conflict.data import conflict_data, conflict_table
from tests.helpers.clocks import clock, over
from tests.helpers.explained import Solved, keeps, solved
from tests.helpers.usual import first


def two_recipes(least: int = 500, other: int = 700) -> Problem:
    """Two tanks for the loads of either recipe: at degree 1 the cycle is no less than either."""
    tanks = ["T1", "T2"]
    return Problem.from_data(
        {
            "name": "Invented: two tanks, two recipes",
            "unit": "s",
            "hoist": {"lift": 5, "lower": 5, "loaded": {"speed": 0.5}, "empty": {"speed": 0.5}},
            "station": [
                {"name": "L", "kind": "load-unload", "capacity": "unlimited", "position": 0},
                {"name": "T1", "position": 1},
                {"name": "T2", "position": 2},
            ],
            "recipe": [
                {"name": "A", "stage": [{"name": "P", "station": tanks, "min": least, "max": 600}]},
                {"name": "B", "stage": [{"name": "P", "station": tanks, "min": other, "max": 900}]},
            ],
            "cycle": {"mix": {"A": 1, "B": 1}},
        }
    )


def asked_of_the_whole_line(line: Solved, longest: int) -> tuple[UnsatisfiableSubset, Oracle]:
    instance = held_to(line.instance, longest)
    asked = demands(line.problem, instance)
    oracle = Oracle(line.problem, instance, asked, clock(time_limit=60, workers=1))
    return in_whole_line(oracle, minimal_subset(oracle)), oracle


def as_solved(line: Solved, left_out: Demand, longest: int) -> bool:
    """Whether the least cycle of the line with a minimum or maximum left out is short enough."""
    recipe = line.problem.recipe_by_name[left_out.recipe]
    stage = recipe.stages[left_out.stage - 1]
    least = stage.min * (left_out.kind != "minimum")
    most = None if left_out.kind == "maximum" else stage.max
    eased = with_windows(line.problem, {(left_out.recipe, left_out.stage): (least, most)})
    found = solve(eased, line.degree, workers=1)
    assert found.status in ("optimal", "infeasible")
    return found.schedule is not None and found.schedule.cycle <= longest


@pytest.mark.parametrize("seeds", first(14, range(900, 960)))
def test_what_is_possible_without_a_limit_is_what_solve_finds(seeds: range) -> None:
    # Source of the reference: the least cycle of the whole line without the limit, proved.
    seen: Counter[bool | None] = Counter()
    for line in solved("mixed", seeds):
        if len(line.instance.moves) > 9:
            continue
        for of_ten in (6, 8):
            longest = line.schedule.cycle * of_ten // 10
            found, _ = asked_of_the_whole_line(line, longest)
            for demand, without in zip(found.demands, found.without, strict=True):
                if demand.kind not in ("minimum", "maximum"):
                    continue
                assert without is as_solved(line, demand, longest), (line.name, longest, demand)
                seen[without] += 1
    assert min(seen[True], seen[False]) > 1, seen


class Kept(NamedTuple):
    """Whether demands can be kept on a line, by trying all."""

    line: Solved
    asked: Sequence[Demand]
    longest: int

    def __call__(self, held: Sequence[Demand]) -> bool:
        return keeps(self.line.problem, self.line.degree, self.asked, held, self.longest)


def all_but(asked: Sequence[Demand], found: Sequence[Demand]) -> list[Demand]:
    """All without those found, the cycle time wished for kept where there is more in them."""
    dropped = [demand for demand in found if demand.kind != "longest"] or found
    return [demand for demand in asked if demand not in dropped]


@pytest.mark.parametrize("seeds", first(20, range(900, 950)))
@pytest.mark.parametrize("family", ["plain", "parallel", "mixed"])
def test_further_sets_conflict_by_themselves_and_are_all(family: str, seeds: range) -> None:
    # The reference tries every order, with windows and times of the hoist left out.
    further = 0
    for line in solved(family, seeds):
        if len(line.instance.moves) > 6:
            continue
        longest = line.schedule.cycle // 2
        found, oracle = asked_of_the_whole_line(line, longest)
        kept = Kept(line, oracle.asked, longest)
        for demand, without in zip(found.demands, found.without, strict=True):
            assert without is kept([d for d in oracle.asked if d != demand]), (line.name, demand)
        left = all_but(oracle.asked, found.demands)
        assert all(found.besides_minimal) and found.complete is not None
        for others in found.besides:
            groups = [
                [d for d in left if d.kind in HOIST] if one.kind == "hoist" else [one]
                for one in others
            ]
            members = [demand for group in groups for demand in group]
            assert set(members) <= set(left) and not kept(members), (line.name, others)
            for group in groups:
                assert kept([d for d in members if d not in group]), (line.name, others)
            left = all_but(left, members)
        assert found.complete is kept(left)
        further += len(found.besides)
    assert further > 1, family


def test_the_bath_that_stands_against_a_wish_as_well_is_named() -> None:
    # With A's minimum at 0 a cycle takes B's 700 s and the way there; with B's at 0, A's 500 s.
    assert solve(two_recipes(least=0), workers=1).cycle_time == 724
    assert solve(two_recipes(other=0), workers=1).cycle_time == 524
    found = find_conflict(two_recipes(), at_most=200, workers=1)
    assert found.subset is not None
    assert [str(demand) for demand in found.subset.demands] == [
        "a cycle of at most 200 s",
        "the minimum of 500 s in P of A",
    ]
    assert found.subset.minimal and found.subset.without == (True, False)
    said = " ".join(found.sentences())
    assert "Leave out any one" not in said and 'Where it says "still not"' in said
    assert (
        "Besides, these cannot be kept together, even without all else that is asked for: a cycle "
        "of at most 200 s and the minimum of 700 s in P of B. With none of what is named so far "
        "but the cycle time wished for, there is a schedule." in said
    )
    assert said.endswith("724 s is the least at degree 1.")
    data = conflict_data(found)
    assert [member["without_it"] for member in data["members"]] == ["possible", "still not"]
    (others,) = data["besides"]
    assert [each["recipe"] for each in others["members"]] == [None, "B"]
    assert others["minimal"] and data["besides_complete"] is True and json.dumps(data)
    parts = [row[0] for row in conflict_table(found).rows if str(row[0]) != "smallest changes"]
    assert parts == ["conflict", "conflict", "besides 1", "besides 1"]


def test_a_wish_that_one_bath_alone_stands_against_is_kept_without_it() -> None:
    # By hand: 600 s is less than B's 700 s, and more than A's 524 s.
    assert solve(two_recipes(other=0), workers=1).cycle_time == 524
    found = find_conflict(two_recipes(), at_most=600, workers=1)
    assert found.subset is not None and found.subset.without == (True, True)
    assert not found.subset.besides and found.subset.complete
    assert "Leave out any one of the things asked for above and there is a schedule." in (
        found.sentences()
    )


def test_many_things_that_a_wish_alone_forbids_are_told_in_one_sentence() -> None:
    found = find_conflict(two_recipes(), at_most=20, workers=1)
    assert found.subset is not None and len(found.subset.besides) == 2
    assert found.subset.further() == [
        "Besides, none of these can be kept with a cycle of at most 20 s, even without all else "
        "that is asked for: the minimum of 700 s in P of B and the hoist's own times, loaded and "
        "empty."
    ]


def test_without_time_nothing_is_said_of_the_whole_line() -> None:
    problem = two_recipes()
    instance = held_to(build_instance(problem, 1), 200)
    asked = demands(problem, instance)
    late = Oracle(problem, instance, asked, over())
    pair = tuple(d for d in asked if d.kind == "longest" or str(d).startswith("the minimum of 500"))
    found = in_whole_line(late, UnsatisfiableSubset("conflict", pair, (True, True)))
    assert found.without == (None, None) and found.complete is None and found.minimal
    told = Conflict("none", 1, Fraction(200), "s", subset=found).sentences()
    assert not any("Leave out any one" in said for said in told)
    assert any('Where it says "not settled"' in said for said in told)
    late.answers[frozenset(demand for demand in asked if demand != pair[1])] = False
    found = in_whole_line(late, UnsatisfiableSubset("conflict", pair, (True, True)))
    assert found.without == (None, False) and found.complete is False and not found.besides
    told = Conflict("none", 1, Fraction(200), "s", subset=found).sentences()
    assert any("there is still no schedule; what else stands" in said for said in told)


def test_where_any_one_left_out_is_enough_nothing_else_stands_against_it() -> None:
    problem = two_recipes()
    asked = demands(problem, held_to(build_instance(problem, 1), 200))
    late = Oracle(problem, build_instance(problem, 1), asked, over())
    three = tuple(d for d in asked if d.kind in ("longest", "minimum"))
    assert len(three) == 3
    # The question for further sets was cut off; those of the single ones have answers.
    late.answers[frozenset(d for d in asked if d not in three[1:])] = None
    for one in three:
        late.answers[frozenset(d for d in asked if d != one)] = True
    found = in_whole_line(late, UnsatisfiableSubset("conflict", three, (None, None, True)))
    assert found.without == (True, True, True) and found.minimal and found.complete
