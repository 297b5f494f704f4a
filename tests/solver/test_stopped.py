"""Every way of searching ends soon when another thread stops it, with a bound that holds."""

from __future__ import annotations

import threading
from functools import cache

import pytest

from benchmarks.lines.families import random_line
from hoistopt import Effort, Stop, verify
from hoistopt.base.clock import Clock, OutOfTime
from hoistopt.instance import Instance, build_instance
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule
from hoistopt.solver import build_model, least_cycle
from hoistopt.solver.bounds import horizon
from hoistopt.solver.cyclic import search
from hoistopt.solver.cyclic.sequences import can_search_sequences
from hoistopt.solver.cyclic.track import can_search_track
from hoistopt.solver.cyclic.track.search import TrackSearch
from hoistopt.solver.lexicographic import limited, settle
from tests.helpers.clocks import over
from tests.helpers.stopping import stopped


@cache
def line(family: str, tanks: int, seed: int) -> tuple[Problem, Instance]:
    problem = random_line(family, tanks, seed)
    return problem, build_instance(problem)


@cache
def any_schedule(family: str, tanks: int, seed: int) -> Schedule:
    """A schedule that the checker accepts: no bound may be above its cycle time."""
    problem, instance = line(family, tanks, seed)
    found = least_cycle(instance, Clock(Effort(1.5, workers=1)))
    assert found.schedule is not None and verify(problem, found.schedule) == ()
    return found.schedule


UPPER = {"track": 1814, "sequences": 880}
"""Cycle times of schedules of the long lines below that a search of 40 s found and the checker
accepted: no bound may be above them. The second is proved least."""


@pytest.mark.parametrize("workers", [1, 2])
@pytest.mark.parametrize(
    ("family", "tanks", "way"), [("loose", 40, "track"), ("very-loose", 30, "sequences")]
)
def test_a_long_search_ends_soon(
    family: str, tanks: int, way: str, workers: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    problem, instance = line(family, tanks, 0)
    monkeypatch.setattr(search, "FIRST_WORK", 1e-6)
    monkeypatch.setattr(search, "SECOND_WORK", 1e-6)
    assert can_search_track(instance) if way == "track" else can_search_sequences(instance)
    if way == "sequences":
        monkeypatch.setattr(search, "can_search_track", lambda _: False)
    begun = threading.Event()
    owner, name = (TrackSearch, "close") if way == "track" else (search, "search_sequences")
    real = getattr(owner, name)
    # A small line first: loops that have never run here are compiled, which nothing stops.
    least_cycle(line(family, 10, 1)[1], Clock(Effort(workers=workers)))
    monkeypatch.setattr(owner, name, lambda *a, **k: begun.set() or real(*a, **k))
    before = set(threading.enumerate())
    with stopped(0.7, begun=begun, workers=workers) as effort:
        found = least_cycle(instance, Clock(effort))
    assert found.status in ("feasible", "unknown")
    assert 0 < found.bound <= UPPER[way]
    if found.schedule is not None:
        assert verify(problem, found.schedule) == ()
    assert begun.is_set()
    assert set(threading.enumerate()) <= before, "a thread searches on"


def test_a_clock_that_is_over_leaves_a_bound_that_holds() -> None:
    problem, instance = line("loose", 12, 0)
    found = least_cycle(instance, over())
    assert found.status in ("feasible", "unknown")
    assert found.schedule is None or verify(problem, found.schedule) == ()
    assert 0 < found.bound <= any_schedule("loose", 12, 0).cycle


def test_no_model_is_built_and_no_instance_when_time_is_up() -> None:
    problem, instance = line("loose", 12, 0)
    with pytest.raises(OutOfTime):
        build_model(instance, clock=over())
    with pytest.raises(OutOfTime):
        build_instance(problem, clock=over())


def test_objectives_in_order_end_with_those_attained() -> None:
    problem, instance = line("loose", 16, 0)
    known = any_schedule("loose", 16, 0)
    asked = limited(instance, min(horizon(instance), known.cycle * 11 // 10))
    with stopped(1) as effort:
        found = settle(asked, ("slack", "float", "travel", "loads"), Clock(effort), known=known)
    assert found.status == "found" and len(found.attained) < 4
    assert found.schedule is not None and verify(problem, found.schedule) == ()
    assert found.schedule.cycle <= known.cycle * 11 // 10


def test_stopped_before_they_begin_no_objective_is_attained() -> None:
    _, instance = line("loose", 12, 0)
    known = any_schedule("loose", 12, 0)
    found = settle(limited(instance, known.cycle), ("slack", "travel"), over(), known=known)
    assert (found.schedule, found.attained) == (known, ())
    found = settle(limited(instance, known.cycle), ("slack", "travel"), over())
    assert (found.status, found.schedule) == ("unknown", None)


def test_an_error_of_whoever_listens_ends_the_search() -> None:
    """Such as KeyboardInterrupt in a console: it comes out, and no thread searches on."""
    _, instance = line("loose", 40, 0)
    before = set(threading.enumerate())
    clock = Clock(Effort(workers=2, stop=Stop()))

    class Break(Exception):
        pass

    def hear(best: int | None, bound: int, elapsed: float) -> None:
        if threading.current_thread() is threading.main_thread() and elapsed > 1:
            raise Break

    with pytest.raises(Break):
        least_cycle(instance, clock, tell=hear)
    assert set(threading.enumerate()) <= before
