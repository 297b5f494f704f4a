"""CP-SAT on the whole model is the floor: what it proves in time is never left with a gap."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import pytest

from benchmarks.lines.families import random_line
from benchmarks.methods import pairwise
from benchmarks.methods.outcome import Clock as Outside
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.instance import build_instance
from hoistopt.problem import Problem
from hoistopt.solver import least_cycle, run_model
from hoistopt.solver.cyclic import search
from hoistopt.solver.cyclic.incumbent import Incumbent
from hoistopt.solver.cyclic.starts.copies import copied
from hoistopt.solver.cyclic.whole import search_whole_model
from hoistopt.solver.model.constraints.symmetry import (
    begins_with_shortest_headway,
    shortest_headway_first,
)
from hoistopt.solver.model.variables import Variables
from tests.helpers.answers import least_ticks, schedule_of


@pytest.fixture
def _idle(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing but CP-SAT beside it ends a search for move sequences, which proves nothing."""

    def idle(*given: Any, stop: Callable[[], bool], **more: Any) -> None:
        while not stop():
            time.sleep(0.01)

    monkeypatch.setattr(search, "search_sequences", idle)
    monkeypatch.setattr(search, "can_search_track", lambda instance: False)
    monkeypatch.setattr(search, "can_search_sequences", lambda instance: True)
    monkeypatch.setattr(search, "FIRST_WORK", 1e-6)
    monkeypatch.setattr(search, "SECOND_WORK", 1e-6)


@pytest.mark.usefixtures("_idle")
@pytest.mark.parametrize("seed", range(3))
def test_what_it_proves_ends_a_search_that_would_go_on(seed: int) -> None:
    problem = random_line("loose", 6, seed, shuffled=True)
    found = least_cycle(build_instance(problem), Clock(Effort(60, 2)))
    assert found.status == "optimal"
    assert found.bound == pairwise.solve(problem, 1, 1, 0, Outside(60)).bound


@pytest.mark.usefixtures("_idle")
def test_so_does_that_there_is_no_schedule() -> None:
    data = random_line("narrow", 4, 0).to_data()
    data["cycle"] = {"max": 150}  # less than the least dwells of some tank take
    problem = Problem.from_data(data)
    instance = build_instance(problem)
    assert least_cycle(instance, Clock(Effort(60, 2))).status == "infeasible"


@pytest.mark.parametrize("seed", range(3))
def test_it_goes_on_from_a_schedule_that_begins_elsewhere_in_the_cycle(seed: int) -> None:
    problem = random_line("loose", 4, seed)
    instance = build_instance(problem, 2)
    schedule = copied(schedule_of(problem), 2)
    incumbent = Incumbent(1)
    incumbent.keep(schedule, [])
    status = search_whole_model(instance, incumbent, Clock(Effort(60, 1)))
    assert status == "optimal"
    assert incumbent.best == least_ticks(problem, 2)


def test_whether_the_shortest_headway_comes_first_is_as_the_rule_says() -> None:
    # Any times of entering, held to the rule by CP-SAT with all other rules left out.
    instance = build_instance(random_line("open", 2, 0), 3)
    seen = set()
    for entries in ((0, 5, 12), (0, 6, 12), (0, 7, 12), (0, 9, 14), (0, 4, 16)):
        variables = Variables(instance, 1, 20)
        shortest_headway_first(variables)
        variables.model.add(variables.cycle == 20)
        starts = [0] * len(instance.moves)
        for move, entry in zip(instance.first_moves, entries, strict=True):
            variables.model.add(variables.start[move] == entry)
            starts[move] = entry
        kept = run_model(variables.model)[0] != "infeasible"
        assert begins_with_shortest_headway(instance, starts, 20) == kept
        seen.add(kept)
    assert seen == {True, False}
