"""Conflicts: every member needed, none missing, against exhaustive removal."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import combinations
from random import Random

import pytest

from hoistopt import Problem, find_conflict
from hoistopt.conflict.demands import Demand, demands
from hoistopt.conflict.mus import (
    Oracle,
    UnsatisfiableSubset,
    conflicting_demands,
    minimal_subset,
    minimal_unsatisfiable,
)
from hoistopt.conflict.soft import held_to
from hoistopt.instance import build_instance
from tests.helpers.clocks import clock, over
from tests.helpers.explained import keeps, solved
from tests.helpers.lines.few_carriers import few_carriers
from tests.helpers.usual import first
from tests.reference.lines import FAMILIES


@pytest.mark.parametrize("seed", range(40))
def test_the_divide_and_conquer_finds_a_minimal_set(seed: int) -> None:
    # Against every subset: a family of forbidden sets, and all that hold one of them.
    rng = Random(f"sets {seed}")
    elements = list(range(rng.randint(1, 9)))
    forbidden = [frozenset(rng.sample(elements, rng.randint(1, len(elements)))) for _ in range(3)]
    asked: list[frozenset[int]] = []

    def impossible(kept: Sequence[int]) -> bool:
        asked.append(frozenset(kept))
        return any(bad <= set(kept) for bad in forbidden)

    found = frozenset(minimal_unsatisfiable(elements, impossible))
    smallest = {bad for bad in forbidden if not any(other < bad for other in forbidden)}
    assert found in smallest
    assert len(asked) <= 2 + 2 * len(found) * (len(elements).bit_length() + 1)


def test_the_divide_and_conquer_blames_what_comes_first() -> None:
    def impossible(kept: Collection[str]) -> bool:
        return "a" in kept or "z" in kept

    assert minimal_unsatisfiable("abcz", impossible) == ("a",)
    assert minimal_unsatisfiable("zbca", impossible) == ("z",)


def test_nothing_is_blamed_where_nothing_can_be_kept() -> None:
    assert minimal_unsatisfiable("abc", lambda kept: True) == ()


def find(
    problem: Problem, degree: int, longest: int
) -> tuple[UnsatisfiableSubset, tuple[Demand, ...]]:
    instance = held_to(build_instance(problem, degree), longest)
    asked = demands(problem, instance)
    oracle = Oracle(problem, instance, asked, clock(time_limit=60, workers=1))
    return minimal_subset(oracle), asked


@pytest.mark.parametrize("seeds", first(6, range(500, 512)))
@pytest.mark.parametrize("family", ["plain", "tight", "parallel", "slots", "reentrant", "turns"])
def test_every_member_is_needed_and_all_together_conflict(family: str, seeds: range) -> None:
    # The reference tries every order, with windows and times of the hoist left out.
    checked = 0
    for line in solved(family, seeds):
        if len(line.instance.moves) > 6:
            continue
        longest = line.schedule.cycle - 1
        found, asked = find(line.problem, line.degree, longest)
        assert found.status == "conflict" and found.minimal, line.name
        assert not keeps(line.problem, line.degree, asked, found.demands, longest), line.name
        for member in found.demands:
            rest = [other for other in found.demands if other != member]
            assert keeps(line.problem, line.degree, asked, rest, longest), (line.name, member)
        checked += 1
    assert checked > 1


def test_the_set_is_one_of_all_minimal_sets() -> None:
    # Every subset of the members, smallest first, on lines of one or two tanks.
    checked = 0
    for line in solved("plain", range(520, 560)):
        longest = line.schedule.cycle - 1
        if len(line.instance.moves) > 4:
            continue
        if len(demands(line.problem, held_to(line.instance, longest))) > 7:
            continue
        found, asked = find(line.problem, line.degree, longest)
        minimal: list[set[Demand]] = []
        for size in range(len(asked) + 1):
            for chosen in combinations(asked, size):
                held = set(chosen)
                if any(other <= held for other in minimal):
                    continue
                if not keeps(line.problem, line.degree, asked, held, longest):
                    minimal.append(held)
        assert set(found.demands) in minimal, line.name
        checked += 1
    assert checked > 3


def test_carriers_and_their_way_back_can_be_blamed() -> None:
    # By hand: 10 in, 100, 10 out, 50 back and 20 at In make 190 for one carrier. Without
    # the count, the tank's turn is 100 + 10 + 5 + 10 = 125.
    problem = few_carriers(count=1, return_time=50)
    found, _ = find(problem, 1, 180)
    assert found.minimal
    assert {member.kind for member in found.demands} == {
        "longest", "carriers", "return", "minimum",
    }  # fmt: skip
    assert "only one carrier" in found.sentence()
    assert "the carriers' way back with the least times at both ends, 70 s" in found.sentence()
    found, _ = find(problem, 1, 124)
    assert {member.kind for member in found.demands} >= {"longest", "minimum"}


def test_least_occupation_can_be_blamed() -> None:
    data = few_carriers().to_data()
    data["station"][0]["min_occupation"] = 200
    found, _ = find(Problem.from_data(data), 1, 150)
    assert [member.kind for member in found.demands] == ["longest", "station"]
    assert found.sentence() == (
        "These cannot be kept together: a cycle of at most 150 s and the 200 s every carrier "
        "stands at In at least."
    )


def test_occupation_of_the_unload_station_by_hoist_can_be_blamed() -> None:
    data = few_carriers(**{"return": "hoist"}).to_data()
    data["station"][2]["min_occupation"] = 300
    found, _ = find(Problem.from_data(data), 1, 300)
    assert found.minimal
    assert [m.station for m in found.demands if m.kind == "station"] == ["Out"]


def test_a_least_cycle_time_can_be_blamed() -> None:
    # A load stands for at most 120 in A, so a cycle of 500 cannot be had in time ...
    # of one load it can: A is empty most of the cycle. Two limits that cross cannot.
    data = few_carriers().to_data()
    data["cycle"] = {"min": 500}
    found, _ = find(Problem.from_data(data), 1, 400)
    assert [member.kind for member in found.demands] == ["longest", "shortest"]


def test_the_hoists_own_times_can_be_blamed() -> None:
    # By hand: In-A, back 5, A-Out ... the hoist alone needs 10 + 10 + 5 to come round.
    data = few_carriers().to_data()
    data["recipe"][0]["stage"] = [{"station": "A", "min": 0}]
    data["station"][0]["min_occupation"] = 0
    found, _ = find(Problem.from_data(data), 1, 24)
    assert {member.kind for member in found.demands} == {"longest", "loaded", "empty"}
    assert found.minimal


def test_in_a_hurry_the_hoist_is_not_questioned() -> None:
    data = few_carriers().to_data()
    data["cycle"] = {"max": 124}
    problem = Problem.from_data(data)
    found = conflicting_demands(problem, build_instance(problem))
    assert [member.kind for member in found.demands] == ["longest", "minimum"]
    data["cycle"] = {"max": 24}
    data["recipe"][0]["stage"] = [{"station": "A", "min": 0}]
    data["station"][0]["min_occupation"] = 0
    problem = Problem.from_data(data)
    found = conflicting_demands(problem, build_instance(problem))
    assert found.sentence() == "This cannot be kept on this line: a cycle of at most 24 s."


def test_long_lists_are_cut_where_asked() -> None:
    shown = UnsatisfiableSubset(
        "conflict", tuple(Demand("maximum", f"m{n}") for n in range(9)), (True,) * 8 + (None,)
    )
    text = shown.sentence(most=2)
    assert "m0, m1 and 7 more" in text
    assert "may be longer" in text and not shown.minimal


def test_without_time_nothing_is_claimed() -> None:
    problem = few_carriers()
    instance = held_to(build_instance(problem), 100)
    asked = demands(problem, instance)
    late = Oracle(problem, instance, asked, over())
    assert minimal_subset(late).status == "unknown"
    late.answers[frozenset(asked)] = False
    found = minimal_subset(late)
    assert found.status == "conflict" and found.demands == asked
    assert not found.minimal and set(found.necessary) == {None}


def test_a_line_that_can_run_has_no_conflict() -> None:
    found = find_conflict(few_carriers(), at_most=125, workers=1)
    assert found.status == "possible" and found.schedule is not None
    assert found.schedule.cycle_time == 125


def test_families_cover_what_can_be_left_out() -> None:
    kinds = set()
    for family in FAMILIES:
        for line in solved(family, range(4)):
            kinds |= {member.kind for member in demands(line.problem, line.instance)}
    assert kinds >= {"maximum", "minimum", "station", "carriers", "return", "loaded", "empty"}
