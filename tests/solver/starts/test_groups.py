"""Groups of tanks merged into one station, and cycles of that unrolled."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import Any

import pytest

from hoistopt import solve
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.checker import verify
from hoistopt.instance import Instance, build_instance
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule
from hoistopt.solver import least_cycle
from hoistopt.solver.cyclic.incumbent import Incumbent
from hoistopt.solver.cyclic.shifts import Shifts, shift
from hoistopt.solver.cyclic.starts import merged_line, smaller_line
from hoistopt.solver.cyclic.starts.copies import copied, fewer_sets
from hoistopt.solver.cyclic.starts.groups import (
    groups_of,
    merged,
    retimed,
    sets_when_merged,
    unrolled,
)
from hoistopt.solver.cyclic.starts.merged_line import search_merged_line


def _line(seed: int, tanks: int, **changes: Any) -> Problem:
    """An invented line whose long stage has several tanks."""
    rng = Random(f"groups {seed}")
    group = [f"Plate {n + 1}" for n in range(tanks)]
    names = ["Clean", "Rinse 1", *group, "Rinse 2"]
    stages: list[dict[str, Any]] = []
    for name, least in (("Clean", 60), ("Rinse 1", 15), (group, 300), ("Rinse 2", 20)):
        low = least + rng.randint(0, least)
        stages.append({"station": name, "min": low, "max": low + rng.randint(20, 120)})
    return Problem.from_data(
        {
            "name": f"groups {seed}",
            "unit": "s",
            "tick": 0.5,
            "hoist": {
                "lift": 6,
                "lower": 5,
                "loaded": {"speed": 0.4, "acceleration": 0.3},
                "empty": {"speed": 0.6, "acceleration": 0.5},
            },
            "station": [
                {"name": "In", "kind": "load", "position": 0},
                *({"name": n, "position": 1.5 * (i + 1)} for i, n in enumerate(names)),
                {"name": "Out", "kind": "unload", "position": 1.5 * (len(names) + 1)},
            ],
            "recipe": [{"name": "all", "stage": stages}],
            **changes,
        }
    )


def _unrolled(instance: Instance, sets: int, *, careful: bool = True) -> Any:
    groups = groups_of(instance)
    found = least_cycle(
        merged(fewer_sets(instance, sets), groups, careful=careful), Clock(Effort(10, 1))
    )
    assert found.schedule is not None
    whole = unrolled(instance, groups, found.schedule, instance.degree // sets)
    return found, retimed(instance, whole, Clock(Effort(10, 1)))


@pytest.mark.parametrize("tanks", [2, 3, 4])
@pytest.mark.parametrize("seed", range(6))
def test_what_is_unrolled_is_a_schedule_of_the_line(seed: int, tanks: int) -> None:
    problem = _line(seed, tanks)
    for degree in (tanks, 2 * tanks):
        instance = build_instance(problem, degree)
        for sets in sets_when_merged(instance):
            found, schedule = _unrolled(instance, sets)
            assert schedule is not None
            assert verify(problem, schedule) == ()
            assert schedule.cycle <= found.schedule.cycle * degree // sets
            used = {s.target for s in schedule} & {f"Plate {n + 1}" for n in range(tanks)}
            assert len(used) == tanks


@pytest.mark.parametrize("tanks", [2, 3, 4])
def test_with_the_middle_tank_s_times_little_is_lost(tanks: int) -> None:
    for seed in range(6):
        problem = _line(seed, tanks)
        instance = build_instance(problem, tanks)
        found, schedule = _unrolled(instance, 1, careful=False)
        _, careful = _unrolled(instance, 1)
        assert schedule is not None
        assert verify(problem, schedule) == ()
        assert schedule.cycle <= careful.cycle
        assert schedule.cycle <= 1.04 * tanks * found.schedule.cycle


def test_only_the_middle_tank_s_times_count_unless_careful() -> None:
    instance = build_instance(_line(0, 3), 3)
    (group,) = groups_of(instance)
    middle = group.places[1]
    line = merged(fewer_sets(instance), (group,), careful=False)
    for move in line.moves:
        (one,) = move.routes
        counted = [
            route
            for route in instance.moves[move.index].routes
            if all(p == middle or p not in group.places for p in (route.source, route.target))
        ]
        assert [one.duration] == [route.duration for route in counted]


@pytest.mark.parametrize("seed", range(4))
def test_the_search_is_never_worse_than_what_is_unrolled(seed: int) -> None:
    problem = _line(seed, 3)
    _, schedule = _unrolled(build_instance(problem, 3), 1)
    result = solve(problem, degree=3, time_limit=20, workers=2)
    assert result.schedule is not None
    assert result.schedule.cycle <= schedule.cycle


def test_only_a_divisor_of_the_visits_can_take_turns() -> None:
    problem = _line(0, 4)
    used = {degree: groups_of(build_instance(problem, degree))[0].used for degree in range(1, 9)}
    assert used == {1: 1, 2: 2, 3: 3, 4: 4, 5: 1, 6: 3, 7: 1, 8: 4}


def test_tanks_that_not_every_stage_may_use_are_no_group() -> None:
    data = _line(0, 2).to_data()
    (recipe,) = data["recipe"]
    recipe["stage"] = [*recipe["stage"], {"station": "Plate 1", "min": 5, "max": 900}]
    assert groups_of(build_instance(Problem.from_data(data), 2)) == ()


def test_merged_times_are_the_longest_and_the_window_has_room_for_the_others() -> None:
    instance = build_instance(_line(0, 2), 2)
    (group,) = groups_of(instance)
    line = merged(fewer_sets(instance), (group,), careful=True)
    for move in line.moves:
        routes = instance.moves[move.index].routes
        (one,) = move.routes
        assert one.duration == max(route.duration for route in routes)
        assert one.shaved == max(route.shaved for route in routes)
        stay, before = line.stay_after.get(move.index), instance.stay_after.get(move.index)
        if stay is not None and before is not None and before.most is not None:
            assert stay.most == before.most - one.duration + min(r.duration for r in routes)
    (place,) = {stay.places[0] for stay in line.stays if stay.places[0] in group.places}
    assert line.places[place].capacity == 2


def test_a_merged_maximum_pays_for_moves_that_take_no_whole_ticks() -> None:
    instance = build_instance(_line(0, 2), 2)
    line = merged(fewer_sets(instance), groups_of(instance), careful=True)
    assert any(route.shaved for move in line.moves for route in move.routes)


@pytest.mark.parametrize("seed", range(4))
def test_a_cycle_that_breaks_a_rule_is_never_handed_back(seed: int) -> None:
    problem = _line(seed, 2)
    instance = build_instance(problem, 2)
    _, schedule = _unrolled(instance, 1)
    first, second, *others = schedule.steps
    hurried = replace(second, start=first.start + 1)
    broken = Schedule(schedule.cycle, schedule.ticks_per_unit, (first, hurried, *others))
    assert verify(problem, broken)
    again = retimed(instance, broken, Clock(Effort(10, 1)))
    assert again is not None
    assert again.cycle == schedule.cycle
    assert verify(problem, again) == ()


@pytest.mark.parametrize("seed", range(4))
def test_shifts_only_ever_find_better_schedules_of_the_line(seed: int) -> None:
    problem = _line(seed, 3)
    instance = build_instance(problem, 3)
    _, schedule = _unrolled(instance, 1)
    incumbent = Incumbent(1)
    incumbent.keep(schedule, [])
    Shifts(instance, incumbent, 0).search(Clock(Effort(20, 1)), 12)
    assert incumbent.schedule is not None
    assert incumbent.schedule.cycle <= schedule.cycle
    assert verify(problem, incumbent.schedule) == ()


@pytest.mark.parametrize(("least", "degree", "sets"), [(2, 2, 1), (3, 2, 1), (9, 4, 2)])
def test_fixed_dwells_after_different_ways_are_kept(least: int, degree: int, sets: int) -> None:
    # Unrolled as it is, the load that goes the shorter way stands for too long.
    stages: list[dict[str, Any]] = [
        {"station": "A", "min": 40},
        {"station": "B", "min": 1, "max": 16, "drip": 2},
        {"station": ["C", "D", "E"], "min": least, "max": least},
    ]
    positions = {"A": 1, "B": 3, "C": 3, "D": 4, "E": 5}
    problem = Problem.from_data(
        {
            "name": "fixed dwell",
            "tick": 1,
            "hoist": {"lift": 1, "lower": 3, "loaded": {"speed": 1}, "empty": {"speed": 2}},
            "station": [
                {"name": "Dock", "kind": "load-unload", "capacity": "unlimited", "position": 0},
                *({"name": name, "position": at} for name, at in positions.items()),
            ],
            "recipe": [{"name": "all", "stage": stages}],
        }
    )
    _, schedule = _unrolled(build_instance(problem, degree), sets)
    assert schedule is None or verify(problem, schedule) == ()
    assert solve(problem, degree, workers=1).status == "optimal"


def test_a_start_that_takes_too_long_does_not_end_the_search(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    problem = _line(0, 2)
    expected = solve(problem, 2, workers=1)
    monkeypatch.setattr(smaller_line, "SECONDS", 1e-9)
    result = solve(problem, 2, workers=1)
    assert (result.status, result.cycle_time) == ("optimal", expected.cycle_time)


def test_what_fails_in_a_thread_of_the_search_is_not_lost(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(shifts: Shifts, clock: Clock) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(Shifts, "look", fails)
    instance = build_instance(_line(0, 3), 3)
    _, schedule = _unrolled(instance, 1)
    incumbent = Incumbent(1)
    incumbent.keep(schedule, [])
    with pytest.raises(ZeroDivisionError):
        shift(instance, incumbent, Clock(Effort(20, 2)), 12, 5.0)


@pytest.mark.parametrize(("worth", "reaches"), [(0.0, [0, 0, 2]), (1e9, [0, 0])])
def test_moves_change_places_only_for_a_much_shorter_cycle(
    worth: float, reaches: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    problem = _line(0, 2)
    instance = build_instance(problem, 2)
    asked: list[int] = []

    def timed(of: Instance, schedule: Schedule, clock: Clock, reach: tuple[int]) -> Any:
        asked.extend(reach)
        return None if len(asked) == 1 else retimed(of, schedule, clock, reach)

    monkeypatch.setattr(smaller_line, "WORTH", worth)
    monkeypatch.setattr(smaller_line, "retimed", timed)
    incumbent = Incumbent(1)
    smaller_line.start_from_groups(
        instance, incumbent, Clock(Effort(20, 1)), least_cycle, between=lambda: None
    )
    assert asked == reaches
    assert incumbent.schedule is not None
    assert verify(problem, incumbent.schedule) == ()


@pytest.mark.parametrize("seed", range(4))
def test_the_merged_line_with_as_many_loads_is_searched_to_its_least_cycle(seed: int) -> None:
    problem = _line(seed, 3)
    instance = build_instance(problem, 3)
    groups = groups_of(instance)
    one = least_cycle(merged(fewer_sets(instance), groups, careful=False)).schedule
    assert one is not None
    incumbent, known = Incumbent(1), copied(one, 3)
    clock = Clock(Effort(60, 1))
    found = search_merged_line(instance, groups, [known], incumbent, clock, lambda: None)
    whole = least_cycle(merged(instance, groups, careful=False))
    assert whole.status == "optimal"
    assert whole.schedule is not None
    assert bool(found) == (whole.schedule.cycle < known.cycle)
    if found:
        assert found[-1].cycle == whole.schedule.cycle
        assert incumbent.schedule is not None
        assert verify(problem, incumbent.schedule) == ()


def test_time_goes_to_others_whenever_the_merged_line_brought_nothing_shorter(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    instance = build_instance(_line(0, 3), 3)
    groups, incumbent, searched = groups_of(instance), Incumbent(1), []
    real = merged_line.search_whole_model

    def search(*given: Any, **more: Any) -> Any:
        before = incumbent.best
        status = real(*given, **more)
        searched.append(before)
        return status

    monkeypatch.setattr(merged_line, "search_whole_model", search)
    monkeypatch.setattr(merged_line, "FIRST_WORK", 1e-6)  # not enough to find anything
    called: list[int | None] = []
    search_merged_line(
        instance,
        groups,
        [],
        incumbent,
        Clock(Effort(60, 1)),
        lambda: called.append(incumbent.best),
    )
    assert called[0] is None
    assert incumbent.best is not None
    assert len(searched) > len(called), "the last search found the least cycle or proved it"
    assert set(called) <= set(searched), "nothing shorter had come since the search before"
