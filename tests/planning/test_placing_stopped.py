"""Loads that wait, where several hoists have to be searched for: stopped from another thread."""

from __future__ import annotations

import pytest

import hoistopt
from hoistopt import Effort, Order, Stop
from hoistopt.planning import waiting
from tests.helpers.command import PROBLEMS
from tests.helpers.stopping import has_schedule, stopped


def test_a_search_for_loads_that_wait_keeps_the_best_when_stopped(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    problem = hoistopt.load_problem(PROBLEMS / "several" / "two_hoists.toml")
    orders = [Order(problem.recipes[0].name)]
    promised = hoistopt.plan(problem, orders, effort=Effort(1, 1)).programme
    assert promised is not None
    # Hardly a line leaves the hoists no ways where loads are placed one after another.
    monkeypatch.setattr(waiting, "goes", lambda *_, **__: False)
    with stopped(0, once=has_schedule, workers=1) as effort:
        found = hoistopt.place_next(problem, promised, orders, effort=effort)
    assert (found.status, found.at_once, found.promised) == ("feasible", False, (1,))
    assert found.replay is not None and found.replay.clean
    assert found.finish is not None and found.lower_bound is not None
    assert 0 < found.lower_bound <= found.finish
    stop = Stop()
    stop.set()
    none = hoistopt.place_next(problem, promised, orders, effort=Effort(stop=stop))
    assert (none.status, none.programme) == ("unknown", None)
