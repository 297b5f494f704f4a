"""Two hoists on one track against brute force over hoists, tanks, dwells and positions.

The search for the least cycle time and the brute force share nothing but the drawn line. All
schedules are replayed by the checker, which follows positions by physics of its own.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import Any

import pytest

import hoistopt
from hoistopt.base.clock import Clock, OutOfTime
from hoistopt.base.effort import Effort
from hoistopt.base.errors import InfeasibleError, InputError
from hoistopt.checker import replay
from hoistopt.instance import build_instance
from hoistopt.instance.several import Path, Several
from hoistopt.instance.times.moves import HoistTimes
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule
from hoistopt.solver import copied, least_cycle, least_per_set
from hoistopt.solver.several import search
from hoistopt.solver.several.incumbent import GivingWay
from hoistopt.solver.several.looks import look
from tests.reference.several import several

CHUNK = 25
CHUNKS = 80
USUAL = 1
"""Chunks that run without ``--long``."""
HIGHEST = 120
"""Cycle time up to which a line is searched where none is found for it."""


@pytest.mark.parametrize(
    "chunk",
    [pytest.param(n, marks=() if n < USUAL else pytest.mark.long) for n in range(CHUNKS)],
)
def test_the_least_cycle_time_is_that_of_brute_force(chunk: int) -> None:
    seen: Counter[str] = Counter()
    for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK):
        line = several.draw(seed)
        try:
            problem = line.problem()
        except InputError:  # a station that no hoist reaches
            seen["out of reach"] += 1
            continue
        try:
            instance = build_instance(problem, several=True)
        except InfeasibleError:  # no hoist both reaches and leaves a tank
            assert several.least_cycle(line, HIGHEST) is None, line
            seen["none"] += 1
            continue
        found = least_cycle(instance, Clock(Effort(30, 1)))
        if found.schedule is None:
            assert several.least_cycle(line, HIGHEST) is None, line
            seen["none"] += 1
            continue
        assert found.status == "optimal", line
        assert several.least_cycle(line, found.schedule.cycle) == found.schedule.cycle, line
        assert replay(problem, found.schedule).clean, line
        seen["way out" if found.schedule.travels else "at once"] += 1
    assert seen["way out"] and seen["at once"]


def test_the_hoist_given_for_a_stage_is_the_one_that_brings_loads_there() -> None:
    """The least cycle time is that of brute force with the same choice, and often longer."""
    longer = compared = 0
    for seed in range(16):
        line = several.draw_given(seed)
        try:
            problem, free = line.problem(), several.draw(seed).problem()
        except InputError:  # a station that no hoist, or not this one, reaches
            continue
        found, any_hoist = (
            least_cycle(build_instance(one, several=True), Clock(Effort(20, 1)))
            for one in (problem, free)
        )
        if found.schedule is None or any_hoist.schedule is None:
            continue
        cycle = found.schedule.cycle
        assert found.status == "optimal"
        assert several.least_cycle(line, cycle) == cycle, line
        steps = found.schedule.steps
        assert all(
            by in (None, step.hoist)
            for step in steps
            if step.stage is not None and step.stage < len(line.stages)
            for by in [line.brings[step.stage]]
        )
        compared += 1
        longer += cycle > any_hoist.schedule.cycle
        seen = replay(problem, any_hoist.schedule)
        assert seen.clean or any("is for" in v.message for v in seen.violations)
    assert compared > 3 and longer


@pytest.mark.parametrize(
    "chunk", [pytest.param(n, marks=() if n == 0 else pytest.mark.long) for n in range(20)]
)
def test_of_measured_moves_all_that_they_may_be_in_is_kept_clear(chunk: int) -> None:
    """The least cycle time is that of brute force, and what keeps clear of one way only is
    refused."""
    compared = refused = 0
    for seed in range(chunk * 25, (chunk + 1) * 25):
        line = several.draw_measured(seed)
        try:
            problem = line.problem()
            instance = build_instance(problem, several=True)
        except InputError:
            continue
        found = least_cycle(instance, Clock(Effort(20, 1)))
        if found.schedule is None:
            assert several.least_cycle(line, HIGHEST) is None, line
            continue
        assert found.status == "optimal", line
        assert several.least_cycle(line, found.schedule.cycle) == found.schedule.cycle, line
        assert replay(problem, found.schedule).clean, line
        compared += bool(line.measured)
        refused += _too_near(line, problem, found.schedule)
    assert compared >= 8 and refused


def test_a_measured_move_taken_for_one_way_only_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    """A solver that has the hoist leave at once and never later plans what the checker refuses."""
    whole = HoistTimes._measured

    def soonest(self: HoistTimes, *given: Any) -> Path:
        path = whole(self, *given)
        here, there = path.low[0][1], path.low[-1][1]
        one = path.high if there > here else path.low
        return replace(path, low=one, high=one)

    monkeypatch.setattr(HoistTimes, "_measured", soonest)
    refused = set()
    for seed in range(30):
        try:
            problem = several.draw_measured(seed).problem()
            instance = build_instance(problem, several=True)
        except InputError:
            continue
        found = least_cycle(instance, Clock(Effort(10, 1)))
        if found.schedule is not None:
            refused |= {v.rule for v in replay(problem, found.schedule).violations}
    assert refused == {"clearance"}


def _too_near(line: several.TwoHoists, problem: Problem, schedule: Schedule) -> bool:
    """Whether the checker names a clearance where one is asked for that is larger."""
    assert problem.track is not None
    wider = replace(line, clearance=line.clearance + 1)
    try:
        seen = replay(wider.problem(), schedule)
    except InputError:
        return False
    can = several.hoists_can(wider, schedule.cycle, schedule.steps)
    broken = {violation.rule for violation in seen.violations}
    assert can or broken, line
    return "clearance" in broken


RESTING = 20
"""Lines with tanks that rest in a chunk."""


@pytest.mark.parametrize(
    "chunk", [pytest.param(n, marks=() if n == 0 else pytest.mark.long) for n in range(10)]
)
def test_tanks_rest_whichever_hoist_brings_the_next_load(chunk: int) -> None:
    """The least cycle time is that of brute force, and often longer than without the rests."""
    longer = compared = 0
    for seed in range(chunk * RESTING, (chunk + 1) * RESTING):
        line = several.draw_resting(seed)
        try:
            instance = build_instance(line.problem(), several=True)
        except InputError:
            continue
        found = least_cycle(instance, Clock(Effort(20, 1)))
        if found.schedule is None:
            assert several.least_cycle(line, HIGHEST) is None, line
            continue
        cycle = found.schedule.cycle
        assert found.status == "optimal", line
        assert several.least_cycle(line, cycle) == cycle, line
        seen = replay(line.problem(), found.schedule)
        assert seen.clean, line
        plain = several.draw(seed)
        free = least_cycle(build_instance(plain.problem(), several=True), Clock(Effort(20, 1)))
        compared += 1
        if free.schedule is not None and free.schedule.cycle < cycle:
            longer += 1
            broken = {v.rule for v in replay(line.problem(), free.schedule).violations}
            assert broken == {"rest"}, line
    assert compared >= 5 and longer


def test_hoists_that_need_not_keep_apart_are_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the separations between hoists the model's cycle gets shorter than it can be."""
    monkeypatch.setattr(Several, "apart", lambda *_: None)
    for seed in range(40):
        line = several.draw(seed)
        try:
            instance = build_instance(line.problem(), several=True)
        except InputError:
            continue
        incumbent = GivingWay(1, instance=instance)
        look(instance, incumbent, Clock(Effort(10, 1)), whole=True)
        least = several.least_cycle(line, HIGHEST)
        without = incumbent.without_ways
        if least is not None and without is not None and without < least:
            return
    pytest.fail("no line noticed")


def test_a_second_hoist_never_makes_a_line_slower() -> None:
    for seed in range(30):
        line = several.draw(seed)
        try:
            problem = line.problem()
            data = problem.to_data()
            del data["track"]
            one = hoistopt.Problem.from_data({**data, "hoist": data["hoist"][0]})
        except InputError:
            continue
        both = hoistopt.solve(problem, effort=Effort(20, 1))
        alone = hoistopt.solve(one, effort=Effort(20, 1))
        # One hoist alone may go to either end, so only where both reach all stations.
        if min(line.beyond) >= line.clearance and alone.cycle_time is not None:
            assert both.cycle_time is not None and both.cycle_time <= alone.cycle_time, line


def test_an_answer_with_a_clearance_short_by_a_tick_is_refused() -> None:
    """A travel that starts later brings the hoists closer than they may be."""
    refused = 0
    for seed in range(60):
        line = several.draw(seed)
        try:
            problem = line.problem()
        except InputError:
            continue
        schedule = least_cycle(build_instance(problem, several=True), Clock(Effort(20, 1))).schedule
        if schedule is None or not schedule.travels:
            continue
        for number, travel in enumerate(schedule.travels):
            late = replace(travel, start=(travel.start + 1) % schedule.cycle)
            others = (*schedule.travels[:number], *schedule.travels[number + 1 :])
            seen = replay(problem, replace(schedule, travels=(*others, late)))
            refused += any(v.rule == "clearance" for v in seen.violations)
    assert refused > 5


def test_degrees_of_several_hoists_are_compared() -> None:
    """A cycle run twice is one of degree 2, clean; no bound over all degrees is above any."""
    compared = 0
    for seed in range(24):
        line = several.draw(seed)
        try:
            problem = line.problem()
            one = build_instance(problem, several=True)
            two = build_instance(problem, 2, several=True)
        except (InputError, InfeasibleError):
            continue
        first = least_cycle(one, Clock(Effort(20, 1)))
        second = least_cycle(two, Clock(Effort(2, 1)))
        if first.schedule is None or second.schedule is None:
            continue
        assert replay(problem, copied(first.schedule, 2)).clean, line
        least = least_per_set(two)
        assert least <= first.schedule.cycle and 2 * least <= second.schedule.cycle, line
        compared += 1
    assert compared >= 8


def test_the_best_degree_uses_both_zinc_tanks() -> None:
    problem = hoistopt.load_problem("problems/several/two_hoists.toml")
    found = hoistopt.solve(problem, "best", time_limit=30, workers=1)
    assert found.choice is not None and found.replay is not None
    assert found.degree % 2 == 0 and found.replay.clean
    by_degree = {result.degree: result for result in found.choice.results}
    assert found.time_per_load < by_degree[1].time_per_load
    assert {"Zinc 1", "Zinc 2"} <= {step.source for step in found.schedule.steps}


def test_a_model_that_is_not_built_in_time_does_not_end_the_search(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Rounds go on until the proof, although stock CP-SAT never gets its turn."""
    asked = []

    def late(*_: object, **__: object) -> None:
        asked.append(1)
        raise OutOfTime

    monkeypatch.setattr(search, "look", late)
    monkeypatch.setattr(search, "MANY_MOVES", 0)
    monkeypatch.setattr(search, "ROUND", 0.01)
    proved = 0
    for seed in range(6):
        line = several.draw(seed)
        try:
            instance = build_instance(line.problem(), several=True)
        except (InputError, InfeasibleError):
            continue
        found = least_cycle(instance, Clock(Effort(20, 1)))
        if found.schedule is not None:
            assert found.status == "optimal", line
            proved += 1
    assert proved >= 2 and asked
