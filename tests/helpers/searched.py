"""Instances to search, and what CP-SAT alone finds for them."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from typing import Protocol

import pytest

from hoistopt.base.errors import InfeasibleError, InputError
from hoistopt.instance import Instance, build_instance
from hoistopt.solver import least_cycle
from hoistopt.solver.cyclic import search
from hoistopt.solver.cyclic.incumbent import Incumbent
from hoistopt.solver.cyclic.starts import one_by_one
from hoistopt.solver.cyclic.starts.first import find_first
from hoistopt.solver.model.build import lowest_cycle
from tests.helpers.clocks import clock
from tests.reference.lines import FAMILIES


def small_lines(family: str, seeds: range) -> Iterator[tuple[int, Instance]]:
    """The reference's random lines, as far as they can be planned, with their seeds."""
    for seed in seeds:
        line = FAMILIES[family](seed)
        try:
            yield seed, build_instance(line.problem, line.degree)
        except (InfeasibleError, InputError):
            continue


def one_at_a_time(instance: Instance) -> Incumbent:
    """The incumbent of a search that begins with one load at a time in the line."""
    incumbent = Incumbent(1)
    incumbent.begin(lowest_cycle(instance))
    first = one_by_one(instance)
    assert first is not None
    incumbent.keep(first, [])
    return incumbent


def by_cp_sat(instance: Instance, monkeypatch: pytest.MonkeyPatch) -> int | None:
    """The least cycle time, found neither along the track nor by building sequences."""
    with monkeypatch.context() as patch:
        patch.setattr(search, "can_search_track", lambda _: False)
        patch.setattr(search, "can_search_sequences", lambda _: False)
        found = least_cycle(instance, clock(workers=1))
    assert found.status in ("optimal", "infeasible")
    return None if found.schedule is None else found.schedule.cycle


def begun(instance: Instance) -> Incumbent:
    """Where a search stands that has a poor schedule."""
    incumbent = Incumbent(lowest_cycle(instance))
    find_first(instance, incumbent)
    assert incumbent.schedule is not None
    return incumbent


class Search(Protocol):
    """What looks for schedules in a thread of its own."""

    def search(self) -> None: ...
    def stop(self) -> None: ...


def stops_when_told(
    search: Search, after: float, within: float, once: threading.Event | None = None
) -> None:
    """Check that a search goes on by itself, and ends soon when another thread says so.

    It is told so `after` seconds from the start, or from `once`, which has to come.
    """
    thread = threading.Thread(target=search.search)
    thread.start()
    if once is not None and not once.wait(120):
        search.stop()
        raise AssertionError("what should have come first never came")
    time.sleep(after)
    assert thread.is_alive()
    search.stop()
    thread.join(timeout=within)
    assert not thread.is_alive()
