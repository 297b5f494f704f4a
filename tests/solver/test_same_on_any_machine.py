"""One thread, one seed: what limits a part of a search is work, which no slow machine cuts short.

A slow machine is one whose parts of a clock, given so many seconds, are over at once.
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from hoistopt import load_problem
from hoistopt.base.clock import Clock
from hoistopt.instance import Instance, build_instance
from hoistopt.solver import least_cycle
from hoistopt.solver.cyclic.incumbent import Incumbent
from hoistopt.solver.cyclic.order import schedule_in_order
from hoistopt.solver.cyclic.starts.smaller_line import start_from_groups
from hoistopt.solver.model.decode import starts_of
from tests.helpers.clocks import clock
from tests.helpers.command import PROBLEMS


@pytest.fixture
def slow(monkeypatch: pytest.MonkeyPatch) -> None:
    real = Clock.part

    def part(self: Clock, seconds: float | None = None, **more: Any) -> Clock:
        return real(self, None if seconds is None else 1e-9, **more)

    monkeypatch.setattr(Clock, "part", part)


def test_an_order_has_its_schedule_however_slow_the_machine(slow: None) -> None:
    instance = build_instance(load_problem(PROBLEMS / "phillips_unger_1976.toml"))
    found = least_cycle(instance, clock(workers=1)).schedule
    assert found is not None
    starts = starts_of(instance, found)
    order = sorted(range(len(starts)), key=starts.__getitem__)
    assert schedule_in_order(instance, order, Incumbent(1), clock(workers=1)) == 521


def test_an_unrolled_cycle_has_its_times_however_slow_the_machine(slow: None) -> None:
    instance = build_instance(load_problem(PROBLEMS / "parallel_tanks.toml"), 3)

    def search(smaller: Instance, given: Clock) -> Any:
        return SimpleNamespace(schedule=least_cycle(smaller, clock(workers=1)).schedule)

    incumbent = Incumbent(1)
    start_from_groups(instance, incumbent, clock(workers=1), search, between=lambda: None)
    assert incumbent.schedule is not None
