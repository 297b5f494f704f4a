"""The smallest changes of windows: they work, and nothing smaller does."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from fractions import Fraction
from itertools import combinations, pairwise

import pytest

from hoistopt import InputError, Problem, find_conflict, verify
from hoistopt.conflict.relaxation import Relaxation, minimal_relaxation
from hoistopt.conflict.soft import held_to
from hoistopt.instance.edits import Window, with_windows
from hoistopt.show.conflict import conflict_data
from tests.helpers.explained import Solved, solved
from tests.reference.brute import least_cycle as least_by_trying

pytestmark = pytest.mark.quick

Slot = tuple[str, int, str]


def remedied(line: Solved, longest: int, aim: str) -> Relaxation:
    instance = held_to(line.instance, longest)
    found = minimal_relaxation(line.problem, instance, "total" if aim == "total" else "windows")
    if found.problem is not None:
        assert found.schedule is not None and found.schedule.cycle <= longest
        assert verify(found.problem, found.schedule) == (), line.name
    return found


def slots_of(problem: Problem) -> list[Slot]:
    return [
        (recipe.name, number, limit)
        for recipe in problem.recipes
        for number, stage in enumerate(recipe.stages, start=1)
        for limit in ("min", "max")
        if (stage.min if limit == "min" else stage.max) is not None
    ]


def widened(problem: Problem, ticks: dict[Slot, int]) -> Problem:
    """The line with each limit given way by so many ticks."""
    assert problem.tick is not None
    windows: dict[tuple[str, int], Window] = {}
    for recipe in problem.recipes:
        for number, stage in enumerate(recipe.stages, start=1):
            down = ticks.get((recipe.name, number, "min"), 0) * problem.tick
            up = ticks.get((recipe.name, number, "max"), 0) * problem.tick
            most = None if stage.max is None else stage.max + up
            windows[recipe.name, number] = (max(Decimal(0), stage.min - down), most)
    return with_windows(problem, windows)


def shared_out(total: int, slots: Sequence[Slot]) -> Iterator[dict[Slot, int]]:
    """Every way to share a number of ticks among limits."""
    for cuts in combinations(range(total + len(slots) - 1), len(slots) - 1):
        edges = [-1, *cuts, total + len(slots) - 1]
        parts = [b - a - 1 for a, b in pairwise(edges)]
        yield dict(zip(slots, parts, strict=True))


def possible(problem: Problem, degree: int, longest: int) -> bool:
    try:
        least = least_by_trying(problem, degree)
    except InputError:
        return False
    return least is not None and least <= longest


@pytest.mark.parametrize("family", ["plain", "slots"])
def test_no_smaller_sum_of_changes_will_do(family: str) -> None:
    # Source of the reference: every way to share one tick less, each line by brute force.
    checked = raised = 0
    for line in solved(family, range(640, 695)):
        slots = slots_of(line.problem)
        whole = all(
            Fraction(limit or 0) / Fraction(line.problem.tick or 1) % 1 == 0
            for recipe in line.problem.recipes
            for stage in recipe.stages
            for limit in (stage.min, stage.max)
        )
        if len(slots) > 4 or len(line.instance.moves) > 4 or not whole:
            continue
        longest = line.schedule.cycle - 2
        found = remedied(line, longest, "total")
        if found.status == "none":
            assert not possible(
                widened(line.problem, dict.fromkeys(slots, 10**6)), line.degree, longest
            )
            continue
        assert found.status == "least"
        ticks = int(found.total / (line.problem.tick or 1))
        if ticks > 6:
            continue
        for shares in shared_out(ticks - 1, slots):
            assert not possible(widened(line.problem, shares), line.degree, longest), line.name
        checked += 1
        raised += any(change.limit == "max" for change in found.changes)
    assert checked >= 2
    assert raised or family != "slots"


@pytest.mark.parametrize("family", ["plain", "slots", "reentrant"])
def test_no_fewer_windows_will_do(family: str) -> None:
    # Every choice of one window less, each window opened all the way, by brute force.
    checked = several = 0
    for line in solved(family, range(640, 665)):
        if len(line.instance.moves) > 5:
            continue
        longest = line.schedule.cycle * 9 // 10
        found = remedied(line, longest, "windows")
        if not found.changes:
            continue
        changed = {(change.recipe, change.stage) for change in found.changes}
        windows = {(recipe, number) for recipe, number, _ in slots_of(line.problem)}
        for fewer in combinations(sorted(windows), len(changed) - 1):
            wide = {(*window, limit): 10**5 for window in fewer for limit in ("min", "max")}
            assert not possible(widened(line.problem, wide), line.degree, longest), line.name
        least = remedied(line, longest, "total")
        assert least.total <= found.total
        checked += 1
        several += len(changed) > 1
    assert checked > 2


def test_a_remedy_by_hand() -> None:
    # The tank's turn is 100 + 10 + 5 + 10 = 125; 118 asks for 7 less of dwell.
    from tests.conflict.test_sets import few_carriers

    found = find_conflict(few_carriers(), at_most=118, workers=1)
    assert found.status == "none" and found.least == 125 and found.least_proven
    for remedy in found.relaxations:
        assert remedy.status == "least"
        (change,) = remedy.changes
        assert (change.limit, change.old, change.new, change.by) == ("min", 100, 93, 7)
    assert len(found.distinct_relaxations()) == 1
    assert found.sentences() == [
        "No schedule of degree 1 exists with a cycle of at most 118 s: proved.",
        "Leave out any one of the things asked for above and there is a schedule.",
        "With all windows as they are, 125 s is the least.",
    ]


def test_where_no_window_helps_it_is_said() -> None:
    from tests.conflict.test_sets import few_carriers

    found = find_conflict(few_carriers(), at_most=24, workers=1)
    assert [remedy.status for remedy in found.relaxations] == ["none"]
    assert "No change of windows alone helps: proved." in found.sentences()


def test_a_load_that_cannot_be_moved_is_the_reason() -> None:
    from tests.conflict.test_sets import few_carriers

    data = few_carriers().to_data()
    data["hoist"] = {"unreachable": ["A"]}
    found = find_conflict(Problem.from_data(data), workers=1)
    assert found.status == "none" and found.subset is None
    assert "the hoist cannot serve A" in (found.reason or "")
    assert conflict_data(found)["members"] == []


@pytest.mark.parametrize("wrong", [0, -5, float("nan"), float("inf"), "soon", True])
def test_a_cycle_time_that_is_none_is_refused(wrong: object) -> None:
    from tests.conflict.test_sets import few_carriers

    with pytest.raises(InputError, match="at_most"):
        find_conflict(few_carriers(), at_most=wrong)  # type: ignore[arg-type]


def test_loads_of_one_recipe_share_their_windows() -> None:
    from tests.conflict.test_sets import few_carriers

    found = find_conflict(few_carriers(), degree=2, at_most=236, workers=1)
    for remedy in found.relaxations:
        assert [(c.limit, c.new) for c in remedy.changes] == [("min", 93)]
