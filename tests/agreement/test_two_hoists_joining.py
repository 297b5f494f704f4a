"""Two hoists into a cycle, and beside what is promised, against brute force tick by tick.

The search and the brute force share nothing but the drawn line and the cycle. All programmes are
replayed by the checker, which follows positions by physics of its own.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from random import Random

import pytest

import hoistopt
from hoistopt import (
    LineState,
    Order,
    Problem,
    ProgrammeRefused,
    Schedule,
)
from hoistopt.base.effort import Effort
from hoistopt.base.errors import InputError
from hoistopt.instance import Move
from hoistopt.instance.several import Several
from hoistopt.solver.finite.model.rules import several as rule
from hoistopt.solver.finite.model.variables import FiniteVariables
from tests.helpers.hoists.two_hoists_states import Inside, hoists_at, loads_inside, state_of
from tests.reference.several import several, several_joining, several_once
from tests.reference.several.several_once import Given

CHUNK, CHUNKS = 10, 40
SMALL = (9, 23, 57)
"""Lines of the usual run."""
FAST = Effort(20, 1)


def drawn(seed: int, degree: int = 1) -> tuple[several.TwoHoists, Problem, Schedule] | None:
    """A line and a cycle of it; None where there is none."""
    line = several.draw(seed)
    try:
        problem = line.problem()
        schedule = hoistopt.solve(problem, degree, effort=FAST).schedule
    except InputError:
        return None
    return None if schedule is None else (line, problem, schedule)


def given(moves: hoistopt.Schedule | hoistopt.Programme) -> list[Given]:
    """Moves as brute force takes them."""
    return [
        Given(int(moves.time(s.start)), s.stage or 0, "AB".index(s.hoist or ""), s.source, s.target)
        for s in moves
    ]


def compare(seed: int, degree: int = 1) -> str | None:
    """Compare a line filled into its cycle, and joined from a state; what the latter came to."""
    case = drawn(seed, degree)
    if case is None:
        return None
    line, problem, schedule = case
    every = int(schedule.time(schedule.cycle))
    found = hoistopt.plan(problem, to=schedule, effort=FAST)
    assert found.status == "optimal" and found.in_step is not None, line
    assert found.replay is not None and found.replay.clean
    soonest = several_joining.soonest_joined(line, given(schedule), every, int(found.in_step))
    assert soonest == found.in_step, line
    inside, at, state = drawn_state(line, seed)
    found = hoistopt.plan(problem, state=state, to=schedule, effort=FAST)
    most = 60 if found.in_step is None else int(found.in_step)
    soonest = several_joining.soonest_joined(line, given(schedule), every, most, inside, at)
    assert soonest == found.in_step, (line, state)
    assert found.status == ("infeasible" if soonest is None else "optimal"), (line, state)
    return found.status


def drawn_state(line: several.TwoHoists, seed: int) -> tuple[Inside, tuple[int, int], LineState]:
    """Loads in the line and hoists somewhere, for brute force and as a state."""
    rng = Random(f"joining state {seed}")
    at = hoists_at(line, rng)
    inside = loads_inside(line, rng, 0.45, lambda high: rng.randint(0, min(high, 3)))
    return inside, at, state_of(inside, at)


def test_the_soonest_joining_is_that_of_brute_force() -> None:
    seen = Counter(compare(seed) for seed in SMALL)
    assert seen["optimal"]


@pytest.mark.long
@pytest.mark.parametrize("chunk", range(CHUNKS))
@pytest.mark.parametrize("degree", [1, 2])
def test_the_soonest_joining_of_many_lines_is_that_of_brute_force(chunk: int, degree: int) -> None:
    seen = Counter(compare(seed, degree) for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK))
    assert seen["optimal"] > 2


def beside(seed: int) -> bool | None:
    """Compare a line with loads ordered beside what is promised; whether they are out last."""
    line, rng = several.draw(seed), Random(f"beside {seed}")
    try:
        problem = line.problem()
    except InputError:
        return None
    first = hoistopt.plan(problem, [Order("Parts", rng.choice((1, 2)))], effort=FAST)
    promised = first.programme
    if promised is None or first.finish is None:
        assert several_once.least_finish(line, [0], 60) is None, line
        return None
    release = rng.randint(0, int(first.finish))
    found = hoistopt.plan(
        problem, [Order("Parts", 1, Fraction(release))], promised=promised, effort=FAST
    )
    assert found.status == "optimal" and found.finish is not None, line
    assert found.programme is not None and found.replay is not None
    kept = {(s.start, s.source, s.target, s.hoist) for s in found.programme}
    assert {(s.start, s.source, s.target, s.hoist) for s in promised} <= kept
    most = int(found.finish)
    least = several_once.least_finish(line, [release], most, given=given(promised))
    assert least == found.finish, (line, release)
    return found.finish > first.finish


def test_beside_what_is_promised_the_finish_is_that_of_brute_force() -> None:
    seen = Counter(beside(seed) for seed in range(6))
    assert seen[True] > 1


@pytest.mark.long
@pytest.mark.parametrize("chunk", range(1, 16))
def test_beside_many_promises_the_finish_is_that_of_brute_force(chunk: int) -> None:
    seen = Counter(beside(seed) for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK))
    assert seen[True]


@pytest.mark.parametrize("cycle_alone", [False, True])
def test_hoists_that_need_not_keep_apart_are_noticed(
    cycle_alone: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without the separations, of all or of those of the cycle, bounds are lower, or refused."""
    told = rule._two_moves

    def dropped(variables: FiniteVariables, hoists: Several, a: Move, b: Move) -> None:
        tied = variables.instance.tied
        if cycle_alone and a.index not in tied and b.index not in tied:
            told(variables, hoists, a, b)

    monkeypatch.setattr(rule, "_two_moves", dropped)
    for seed, soonest in ((0, 20), (1, 36)):
        case = drawn(seed)
        assert case is not None
        line, problem, cycle = case
        _, _, state = drawn_state(line, seed)
        try:
            found = hoistopt.plan(problem, state=state, to=cycle, effort=Effort(1, 1))
        except ProgrammeRefused:
            return
        if found.lower_bound is not None and found.lower_bound < soonest:
            return
    pytest.fail("no line noticed")


def test_a_programme_that_meets_the_cycle_is_refused() -> None:
    """A travel left out, in any cycle or in the last one alone, and hoists are too close."""
    case = drawn(9)
    assert case is not None
    found = hoistopt.plan(case[1], to=case[2], effort=FAST).programme
    assert found is not None and found.repeats is not None
    last = max(step.start for step in found) - found.repeats.every
    refused: Counter[bool] = Counter()
    for number, travel in enumerate(found.travels):
        if found.repeats.since + found.repeats.every < travel.start <= last:
            continue
        changed = replace(found, travels=(*found.travels[:number], *found.travels[number + 1 :]))
        seen = hoistopt.replay_programme(case[1], changed)
        refused[travel.start > last] += any(v.rule == "clearance" for v in seen.violations)
    assert refused[False] and refused[True]
