"""Two schedules, or two versions of a line, side by side."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from itertools import combinations
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import hoistopt
from hoistopt.analysis.compare.loads import in_order
from hoistopt.checker import Refused
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule
from hoistopt.show.compare.data import comparison_data
from hoistopt.show.compare.table import verdict
from tests.helpers.command import PROBLEMS
from tests.helpers.lines.compared_lines import compared, dryer, insert, solved, stages_of

pytestmark = pytest.mark.quick


def looser(data: dict[str, Any]) -> None:
    """What makes the hoist take another order: wider in one bath, shorter in the dryer."""
    stages_of(data)[1]["max"] = 160
    stages_of(data)[3]["min"] = 150


def shifted(schedule: Schedule, ticks: int) -> Schedule:
    """The same pattern begun elsewhere; what crosses a cycle boundary changes with it."""
    steps = (
        replace(step, start=(step.start + ticks) % schedule.cycle, boundaries=None)
        for step in schedule
    )
    return replace(schedule, steps=tuple(steps))


# -- schedules ------------------------------------------------------------------------------


def test_a_schedule_is_the_same_as_itself() -> None:
    problem = dryer()
    found = compared(problem, problem)
    assert found.changes == []
    assert found.same_order
    assert found.same_tanks
    assert all(row.difference == 0 for row in found.figures)
    assert all(pair.longer == 0 and not pair.other_window for pair in found.dwells)
    assert [row.place_before for row in found.moves] == [row.place_after for row in found.moves]
    assert "Cycle time 234 s on both sides" in verdict(found)


@pytest.mark.parametrize("ticks", [1, 300, 1200, 2339])
def test_where_the_cycle_is_begun_makes_no_difference(ticks: int) -> None:
    problem = dryer()
    schedule = solved(problem)
    found = hoistopt.compare_schedules(problem, schedule, problem, shifted(schedule, ticks))
    assert found.same_order
    assert all(row.start_before == row.start_after for row in found.moves)
    assert all(pair.longer == 0 for pair in found.dwells)


@pytest.mark.parametrize("name", ["mixed_recipes", "parallel_tanks"])
def test_loads_are_matched_wherever_the_cycle_is_begun(name: str) -> None:
    problem = hoistopt.load_problem(PROBLEMS / f"{name}.toml")
    schedule = solved(problem, 1 if name == "mixed_recipes" else 2)
    loads = sorted({step.load or 0 for step in schedule})
    assert len(loads) > 1
    entering = [step.start for step in schedule if step.stage == 0]
    for start in entering:
        turned = shifted(schedule, schedule.cycle - start)
        bare = replace(turned, steps=tuple(replace(step, load=None) for step in turned))
        found = hoistopt.compare_schedules(problem, schedule, problem, bare)
        assert found.same_order
        assert found.same_tanks
        assert all(row.start_before == row.start_after for row in found.moves)
        assert all(pair.longer == 0 for pair in found.dwells)


def test_another_order_is_told_move_by_move() -> None:
    found = compared(dryer(), dryer(looser))
    assert not found.same_order
    assert found.same_tanks
    moved = [row for row in found.moves if row.moved]
    assert [(row.before.source, row.place_before, row.place_after) for row in moved] == [  # type: ignore[union-attr]
        ("Wash", 5, 3)
    ]
    assert {(row.place_before, row.place_after) for row in found.moves} == {
        (1, 1), (2, 2), (3, 4), (4, 5), (5, 3)
    }  # fmt: skip
    assert "another order of moves, the same tanks" in verdict(found)


def test_figures_are_those_of_the_reports() -> None:
    found = compared(dryer(), dryer(looser))
    figures = {row.name: row for row in found.figures}
    cycle = figures["Cycle time"]
    assert (cycle.before, cycle.after) == (234, Fraction("203.1"))
    assert cycle.difference == Fraction("-30.9")
    assert figures["Loads per hour"].after == pytest.approx(3600 / 203.1)
    for side, pick in ((found.before, "before"), (found.after, "after")):
        told = side.report.figures
        assert float(getattr(figures["Hoist carrying"], pick)) == pytest.approx(
            100 * told.hoist_loaded
        )
        assert getattr(figures["Carriers needed"], pick) == told.carriers_needed
        least = min(row.tightest for row in side.report.dwells)
        assert getattr(figures["Min dwell margin"], pick) == Fraction(least)
    dwells = {pair.label: pair for pair in found.dwells}
    dryer_ = dwells["Dryer"]
    assert dryer_.before is not None and dryer_.after is not None
    assert dryer_.longer == dryer_.after.dwell - dryer_.before.dwell == -30
    assert [label for label, pair in dwells.items() if pair.other_window] == ["Passivate", "Dryer"]


def test_another_tank_is_told() -> None:
    problem = hoistopt.load_problem(PROBLEMS / "parallel_tanks.toml")
    schedule = solved(problem)
    recipe = problem.recipes[0]
    names = next(stage.station for stage in recipe.stages if len(stage.station) > 1)
    swap = dict(zip(names, (*names[1:], names[0]), strict=True))
    # All tanks at one place and alike, so that any choice of them can be run.
    data = problem.to_data()
    position = problem.station_by_name[names[0]].position
    for station in data["station"]:
        if station["name"] in names:
            station["position"] = position
    alike = Problem.from_data(data)
    schedule = solved(alike)
    other = replace(
        schedule,
        steps=tuple(
            replace(
                step,
                source=swap.get(step.source, step.source),
                target=swap.get(step.target, step.target),
            )
            for step in schedule
        ),
    )
    found = hoistopt.compare_schedules(alike, schedule, alike, other)
    assert found.same_order
    assert not found.same_tanks
    assert [row.other_tank for row in found.moves] == [
        bool({step.source, step.target} & set(names)) for step in schedule
    ]
    assert "other tanks" in verdict(found)


def test_degrees_are_compared_by_time_per_load() -> None:
    problem = hoistopt.load_problem(PROBLEMS / "mixed_recipes.toml")
    found = compared(problem, problem, degree=2)
    new = [row for row in found.moves if row.before is None]
    assert len(new) == len(found.moves) / 2
    assert not any(row.after is None for row in found.moves)
    assert verdict(found).startswith("Mean time per load ")
    assert {pair.load for pair in found.dwells if pair.before is None} == {row.load for row in new}


def test_schedules_the_checker_refuses_are_not_compared() -> None:
    problem = dryer()
    schedule = solved(problem)
    late = replace(schedule.steps[1], start=schedule.steps[1].start + 300)
    wrong = replace(schedule, steps=(schedule.steps[0], late, *schedule.steps[2:]))
    for sides in ((schedule, wrong), (wrong, schedule)):
        with pytest.raises(Refused, match="refuses"):
            hoistopt.compare_schedules(problem, sides[0], problem, sides[1])


def test_sides_without_a_common_move_have_no_tanks_in_common() -> None:
    """Every recipe has another name, so nothing can be said to go between the same tanks."""

    def renamed(data: dict[str, Any]) -> None:
        data["recipe"][0]["name"] = "Lids"

    found = compared(dryer(), dryer(renamed))
    assert all(row.before is None or row.after is None for row in found.moves)
    assert found.same_tanks is None
    assert "no move is made on both sides" in verdict(found)
    assert "the same tanks" not in verdict(found)
    assert comparison_data(found)["same_tanks"] is None


# -- order ------------------------------------------------------------------------------


@given(st.permutations(range(7)), st.permutations(range(7)), st.integers(0, 7), st.integers(0, 7))
def test_moves_in_order_are_a_largest_common_subsequence(
    first: list[int], second: list[int], cut: int, skip: int
) -> None:
    before: Any = [("R", "both", n, 1) for n in first[:cut]]
    after: Any = [("R", "both", n, 1) for n in second[skip:]]
    kept = in_order(before, after)
    common = [key for key in before if key in after]

    def rises(keys: Any) -> bool:
        places = [after.index(key) for key in keys]
        return places == sorted(places)

    assert rises([key for key in before if key in kept])
    assert kept <= set(common)
    most = max(
        size
        for size in range(len(common) + 1)
        for keys in combinations(common, size)
        if rises(keys)
    )
    assert len(kept) == most


def test_data_holds_what_the_comparison_holds() -> None:
    found = compared(dryer(), dryer(insert))
    data = json.loads(json.dumps(comparison_data(found)))
    assert (data["same_order"], data["same_tanks"]) == (found.same_order, found.same_tanks)
    assert data["before"]["cycle_time"] == 234
    assert [len(data[key]) for key in ("changes", "figures", "moves", "dwells")] == [
        len(found.changes), len(found.figures), len(found.moves), len(found.dwells)
    ]  # fmt: skip
    for told, row in zip(data["moves"], found.moves, strict=True):
        for side, step in (("before", row.before), ("after", row.after)):
            assert (told[side] is None) == (step is None)
            if step is not None:
                assert (told[side]["from"], told[side]["to"]) == (step.source, step.target)
    assert "not a safety function" in data["cautions"][0]
