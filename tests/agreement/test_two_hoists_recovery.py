"""Recoveries of two hoists against brute force, tick by tick: no load lost that can be saved.

Search and brute force share nothing but the drawn line; every programme is replayed by the
checker, which follows positions by physics of its own and is told which loads are given up.
"""

from __future__ import annotations

import json
from collections import Counter
from fractions import Fraction
from random import Random
from typing import NamedTuple

import pytest

import hoistopt
from hoistopt import Between, HoistAt, Order, Problem, Standing
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.base.errors import InputError
from hoistopt.instance.build_finite import build_finite
from hoistopt.instance.finite import WEIGHTS, FiniteInstance
from hoistopt.instance.several import Several
from hoistopt.planning.lost import priced, weights
from hoistopt.schedule import LineState
from hoistopt.solver.finite.recovery import LeastLoss, Softness
from hoistopt.solver.finite.recovery.soft_model import SoftModel
from tests.helpers.hoists.two_hoists_states import hoists_at, loads_inside
from tests.reference.several import several, several_recovery

CASES, CHUNK, CHUNKS = 13, 25, 40
"""Seeds of the usual run; of the long one."""


class Stopped(NamedTuple):
    """A line after a stop: loads that have stood for long, hoists somewhere on the track."""

    line: several.TwoHoists
    problem: Problem
    inside: list[tuple[int, str, int]]
    weights: list[Fraction]
    at: tuple[int, int]
    entering: int
    out: int | None = None

    @property
    def state(self) -> LineState:
        hoists = [
            HoistAt(
                "",
                Between.of(0),
                name=name,
                position=Fraction(position),
                out_of_service=name == "AB "[-1 if self.out is None else self.out],
            )
            for name, position in zip("AB", self.at, strict=True)
        ]
        standing = [
            Standing(tank, stage, Between.of(stood), "Parts", load=number, weight=weight)
            for number, ((stage, tank, stood), weight) in enumerate(
                zip(self.inside, self.weights, strict=True), start=1
            )
        ]
        return LineState(tuple(standing), hoists=tuple(hoists))

    def plan(self, *, recover: bool = True) -> hoistopt.Plan:
        orders = [Order("Parts", self.entering)] if self.entering else []
        effort = Effort(30, 1)
        return hoistopt.plan(self.problem, orders, self.state, recover=recover, effort=effort)

    def least(self) -> several_recovery.Loss | None:
        return several_recovery.least_loss(
            self.line, self.inside, self.weights, self.at, self.entering, self.out
        )


def stopped(seed: int) -> Stopped | None:
    """A small random case; None where a hoist does not reach a station, or no load is inside."""
    line, rng = several.draw(seed), Random(f"stopped {seed}")
    try:
        problem = line.problem()
    except InputError:
        return None
    at = hoists_at(line, rng)
    # A fixed dwell begun before the state may give way by a tick, so none is.
    inside = loads_inside(
        line, rng, 0.6, lambda high: max(0, high + rng.randint(-6, 4)), fixed=False
    )
    if not inside:
        return None
    weights = [Fraction(rng.choice((1, 1, 2, 3)), rng.choice((1, 1, 2))) for _ in inside]
    entering = int(len(inside) < 3 and rng.random() < 0.25)
    return Stopped(line, problem, inside, weights, at, entering)


def one_out(seed: int) -> Stopped | None:
    """The same with one of the hoists out of service, mostly out of the way of the other."""
    case, rng = stopped(seed), Random(f"out of service {seed}")
    if case is None:
        return None
    out = rng.choice((0, 1))
    ends = min(case.line.positions.values()), max(case.line.positions.values())
    at = list(case.at)
    if rng.random() < 0.8:
        at[out] = ends[out] + (2 * out - 1) * case.line.beyond[out]
        at[1 - out] = min(max(at[1 - out], ends[0]), ends[1])
    if at[1] - at[0] < case.line.clearance:
        return None
    return case._replace(at=(at[0], at[1]), out=out)


def agree(case: Stopped | None) -> int | None:
    """Loads lost, once plan and brute force agree; -1 where there is no way at all."""
    if case is None:
        return None
    least, found = case.least(), case.plan()
    if least is None:
        assert found.status == "infeasible" and not found.recoverable, case
        return -1
    seen, recovery = found.replay, found.recovery
    assert found.status == "optimal" and seen is not None and recovery is not None, case
    assert found.finish is not None
    assert (recovery.least_weight, recovery.overstay, found.finish) == least, case
    assert (recovery.weight, recovery.least_overstay) == (recovery.least_weight, recovery.overstay)
    # The checker, by rules of its own: the same loads, as times are whole ticks the same time.
    assert {one.load for one in seen.overstays} == set(recovery.lost) and not seen.left
    assert sum(one.by for one in seen.overstays) == recovery.overstay
    whole = hoistopt.replay_programme(case.problem, seen.programme, case.state)
    assert whole.clean == (not recovery.lost)
    return len(recovery.lost)


def test_no_load_is_lost_that_can_be_saved() -> None:
    seen = Counter(agree(stopped(seed)) for seed in range(CASES))
    assert seen[0] and seen[1] and seen[2] and seen[-1], seen


def test_a_hoist_out_of_service_stands_in_the_way_and_makes_no_move() -> None:
    seen = Counter(agree(one_out(seed)) for seed in range(CASES))
    assert seen[0] + seen[1] + seen[2] and seen[-1], seen


@pytest.mark.long
@pytest.mark.parametrize("chunk", range(1, CHUNKS))
def test_no_load_is_lost_that_can_be_saved_in_many_cases(chunk: int) -> None:
    seeds = range(chunk * CHUNK, (chunk + 1) * CHUNK)
    seen = Counter(agree(stopped(seed)) for seed in seeds)
    seen += Counter(agree(one_out(seed)) for seed in seeds)
    assert seen[0] + seen[1] + seen[2] > 8, seen


def bounds(case: Stopped) -> tuple[int, int]:
    """Bounds on weight and overstay in the search, which no ways need lead to."""
    instance = build_finite(case.problem, case.state, (), overdue=True)
    search = LeastLoss(Softness(instance, priced(instance, weights(case.state))))
    found = search.go_on(Clock(Effort(10, 1)))
    return found.least_lost, found.least_over


def test_hoists_that_need_not_keep_apart_lose_less(monkeypatch: pytest.MonkeyPatch) -> None:
    cases = [case for seed in range(8, 12) if (case := stopped(seed)) is not None]
    known = [bounds(case) for case in cases]
    monkeypatch.setattr(Several, "apart", lambda *_: None)
    assert any(bounds(case) < least for case, least in zip(cases, known, strict=True))


def test_a_maximum_that_costs_nothing_loses_less(monkeypatch: pytest.MonkeyPatch) -> None:
    cases = [case for seed in range(8, 12) if (case := stopped(seed)) is not None]
    known = [bounds(case) for case in cases]
    monkeypatch.setattr(SoftModel, "_gives", lambda model, variables, *_: variables.horizon)
    assert any(bounds(case) < least for case, least in zip(cases, known, strict=True))


def test_what_hoists_may_need_not_proves_no_load_lost(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where they gain speed, more may be asked of them than needed, which is no proof."""
    case = stopped(49)
    assert case is not None
    data = json.loads(json.dumps(case.problem.to_data(), default=float))
    for hoist in data["hoist"]:
        hoist["loaded"]["acceleration"] = hoist["empty"]["acceleration"] = 0.5
    slow = case._replace(problem=Problem.from_data(data))
    least, _ = bounds(slow)
    found = slow.plan().recovery
    assert found is not None and found.least_weight == Fraction(least, WEIGHTS) < found.weight
    monkeypatch.setattr(FiniteInstance, "needed", property(lambda instance: instance))
    assert bounds(slow)[0] == found.weight * WEIGHTS
