"""Neighbourhoods of a schedule: they only make it better, and only where that is possible."""

from __future__ import annotations

import threading
from functools import cache

import pytest

from benchmarks.lines.families import random_line, random_mix
from hoistopt import load_problem, verify
from hoistopt.base.errors import InfeasibleError, InputError
from hoistopt.instance import build_instance
from hoistopt.schedule import Schedule
from hoistopt.solver import least_cycle
from hoistopt.solver.cpsat import run_model
from hoistopt.solver.cyclic.beside import Beside
from hoistopt.solver.cyclic.incumbent import Incumbent
from hoistopt.solver.cyclic.neighbourhoods import Neighbourhoods
from hoistopt.solver.model.build import build_model, lowest_cycle
from hoistopt.solver.model.decode import starts_of
from tests.helpers.clocks import clock
from tests.helpers.searched import begun, stops_when_told
from tests.reference.lines import FAMILIES

LINES = {
    "flow": (random_line("loose", 12, 5), 1),
    "shuffled": (random_line("very-loose", 12, 5, shuffled=True), 1),
    "degree 2": (random_line("loose", 6, 1), 2),
    "mix": (random_mix("loose", 6, 2, 1), 1),
}


def look_around(name: str) -> tuple[int, Schedule]:
    """The cycle time that a line begins with, and what looking around comes to."""
    instance = build_instance(*LINES[name])
    incumbent = begun(instance)
    begin = incumbent.best
    near = Neighbourhoods(instance, incumbent, seed=0)
    near._work = 0.06  # a fifth of the usual
    for _ in range(4):  # the fewer, the more each has to find
        near.look()
    assert begin is not None and incumbent.schedule is not None
    return begin, incumbent.schedule


looked_around = cache(look_around)


@pytest.mark.parametrize("name", LINES)
def test_looking_around_ends_near_the_optimum(name: str) -> None:
    problem, degree = LINES[name]
    instance = build_instance(problem, degree)
    begin, best = looked_around(name)
    assert best.cycle < begin
    assert verify(problem, best) == ()
    least = least_cycle(instance, clock(workers=1)).schedule
    assert least is not None
    assert least.cycle <= best.cycle <= 1.1 * least.cycle


def test_there_is_nothing_better_around_an_optimum() -> None:
    instance = build_instance(random_line("loose", 8, 2))
    least = least_cycle(instance, clock(workers=1)).schedule
    assert least is not None
    incumbent = Incumbent(lowest_cycle(instance))
    incumbent.keep(least, [])
    near = Neighbourhoods(instance, incumbent, seed=1)
    for _ in range(30):
        near.look()
    assert incumbent.schedule is least


def test_the_same_seed_looks_the_same_way() -> None:
    assert look_around("flow") == looked_around("flow")


def test_another_thread_stops_it_soon() -> None:
    instance = build_instance(random_line("loose", 30, 0))
    near = Neighbourhoods(instance, begun(instance), seed=0)
    stops_when_told(near, after=0.5, within=20)


def test_without_a_schedule_there_is_nowhere_to_look() -> None:
    instance = build_instance(random_line("loose", 8, 2))
    incumbent = Incumbent(lowest_cycle(instance))
    Neighbourhoods(instance, incumbent, seed=0).search()
    assert incumbent.schedule is None


@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_a_schedule_goes_back_to_the_starts_it_came_from(family: str) -> None:
    checked = 0
    for seed in range(30):
        line = FAMILIES[family](seed)
        try:
            instance = build_instance(line.problem, line.degree)
        except (InfeasibleError, InputError):
            continue
        found = least_cycle(instance, clock(workers=1)).schedule
        if found is None:
            continue
        starts = starts_of(instance, found)
        assert sorted(starts) == sorted(step.start for step in found.steps)
        variables = build_model(instance)
        variables.model.add(variables.cycle == found.cycle)
        for variable, start in zip(variables.start, starts, strict=True):
            variables.model.add(variable == start)
        status, _ = run_model(variables.model, clock(workers=1))
        assert status == "optimal"
        checked += 1
    assert checked > 8


def test_what_fails_beside_the_main_search_is_not_lost(monkeypatch: pytest.MonkeyPatch) -> None:
    class Fails:
        def search(self, after: object = None) -> None:
            raise ZeroDivisionError

        def stop(self) -> None:
            pass

    instance = build_instance(load_problem("problems/three_tanks_dryer.toml"))
    incumbent = Incumbent(1)
    least = least_cycle(instance, clock(workers=1)).schedule
    assert least is not None
    incumbent.keep(least, [])
    beside = Beside(instance, incumbent, clock(time_limit=20, workers=2), prove=False)
    monkeypatch.setattr(beside, "_near", Fails())
    with pytest.raises(ZeroDivisionError):
        beside.run(lambda between: None)


def test_beside_a_search_looks_begin_once_it_has_a_schedule(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    instance = build_instance(load_problem("problems/three_tanks_dryer.toml"))
    least = least_cycle(instance, clock(workers=1)).schedule
    assert least is not None
    incumbent, looked = Incumbent(1), threading.Event()
    beside = Beside(instance, incumbent, clock(time_limit=20, workers=2), prove=False)
    look = beside._near.look

    def seen() -> None:
        if incumbent.schedule is not None:
            looked.set()
        look()

    monkeypatch.setattr(beside._near, "look", seen)

    def close(between: object) -> None:
        assert not looked.wait(0.2)
        incumbent.keep(least, [])
        assert looked.wait(10)

    beside.run(close)
