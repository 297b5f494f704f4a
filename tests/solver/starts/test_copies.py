"""Copies of a cycle of one set of loads are a cycle of several sets."""

from __future__ import annotations

import pytest

from benchmarks.lines.real import real_line
from hoistopt import Stop, replay, solve
from hoistopt.base.errors import InputError
from hoistopt.instance import Instance, build_instance
from hoistopt.solver.cyclic import search
from hoistopt.solver.cyclic.search import least_cycle
from hoistopt.solver.cyclic.starts.copies import copied, fewer_sets
from tests.helpers.clocks import clock
from tests.reference.lines import FAMILIES

pytestmark = pytest.mark.quick


@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_copies_break_no_rule(family: str) -> None:
    copies_seen = 0
    for seed in range(8000, 8030):
        problem = FAMILIES[family](seed).problem
        try:
            single = solve(problem, 1, workers=1)
        except InputError:
            continue
        if single.schedule is None:
            continue
        for degree in (2, 3):
            several = copied(single.schedule, degree)
            assert several.cycle == degree * single.schedule.cycle
            assert len(several) == degree * len(single.schedule)
            assert replay(problem, several).violations == ()
            copies_seen += 1
    assert copies_seen >= 20


@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_one_set_of_several_is_the_instance_of_degree_one(family: str) -> None:
    for seed in range(8100, 8120):
        problem = FAMILIES[family](seed).problem
        try:
            single, several = build_instance(problem, 1), build_instance(problem, 3)
        except Exception as error:
            assert type(error).__name__ in ("InputError", "InfeasibleError")  # noqa: PT017
            continue
        assert fewer_sets(several) == single


def test_a_higher_degree_never_ends_worse_per_load_for_want_of_time(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(search, "SHORT_WORK", 1e-9)
    monkeypatch.setattr(search, "FIRST_WORK", 1e-9)
    problem = FAMILIES["plain"](8203).problem
    single = solve(problem, 1, workers=1)
    several = solve(problem, 4, time_limit=0.5, workers=1)
    assert single.cycle_time is not None
    assert several.cycle_time is not None
    assert several.cycle_time <= 4 * single.cycle_time


def test_ctrl_c_while_one_set_is_searched_ends_the_whole_search(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    problem = FAMILIES["plain"](8203).problem
    instance = build_instance(problem, 3)
    whole = search.least_cycle
    stop = Stop()
    single = whole(fewer_sets(instance), clock(workers=1))
    runs: list[int] = []
    monkeypatch.setattr(search, "MANY_MOVES", 0)  # else CP-SAT comes first
    monkeypatch.setattr(search, "search_whole_model", lambda *a, **k: runs.append(1))

    def stopped(*_: object) -> search.Found:
        stop.set()
        return single

    monkeypatch.setattr(search, "least_cycle", stopped)
    found = whole(instance, clock(workers=1, stop=stop))
    assert stop.is_set()
    assert found.schedule == copied(single.schedule, 3)
    assert runs == []


def test_a_mix_with_groups_begins_with_copies_of_one_set(monkeypatch: pytest.MonkeyPatch) -> None:
    """So a cycle of more sets, searched briefly, needs no more time per set than one set does."""
    asked: list[int] = []

    def start(instance: Instance, *_: object) -> None:
        asked.append(instance.degree)

    monkeypatch.setattr(search, "start_from_copies", start)
    for degree in (1, 2):
        problem = real_line("own-tank", 4, 0)
        least_cycle(build_instance(problem, degree), clock(time_limit=1, workers=1))
    assert asked and set(asked) == {2}
