"""Programmes that go over into a cycle against brute force in absolute time, and rules dropped."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import count, islice
from typing import Any

import pytest
from _pytest.mark import ParameterSet

import hoistopt
from hoistopt.base.effort import Effort
from hoistopt.solver.finite.joining import soonest_joined
from hoistopt.solver.finite.model.rules import RULES, hoist
from tests.helpers.programmes.join_cases import (
    JoinCase,
    join_case,
    join_case_with_orders,
    mixed_case,
    search_of,
)
from tests.reference.lines import FAMILIES
from tests.reference.programmes.joining import JoinBrute, TooLarge
from tests.reference.programmes.promised import PromisedBrute

USUAL, CASES, CHUNKS = 6, 10, 18
"""Cases of each family in the usual run; in a chunk of the long run, and its chunks."""
ORDERED = 20
"""Seeds in a chunk of cases with orders; of many of them no case comes."""
DROPPED = 20
"""Cases among which a dropped rule must show."""


def cases(family: str, first: int) -> Iterator[tuple[JoinCase, tuple[int, int] | None]]:
    """Cases from a seed on, with the least changeover time and joining by brute force."""
    for seed in count(first):
        case = join_case(family, seed)
        if case is None:
            continue
        try:
            yield case, JoinBrute(case.problem, case.state, case.cycle).soonest()
        except TooLarge:
            continue


SIZES = pytest.mark.parametrize(
    ("number", "size"),
    [(0, USUAL), *(pytest.param(n, CASES, marks=pytest.mark.long) for n in range(CHUNKS))],
)


def chunk(number: int) -> ParameterSet:
    """The first in the usual run, the others on request."""
    return pytest.param(number, marks=[] if number == 0 else [pytest.mark.long])


@SIZES
@pytest.mark.parametrize("family", FAMILIES)
def test_the_soonest_joining_is_that_of_brute_force(family: str, number: int, size: int) -> None:
    seen: Counter[str] = Counter()
    for (case, least), _ in zip(cases(family, 1000 * number), range(size), strict=False):
        found = hoistopt.plan(case.problem, to=case.cycle, state=case.state, effort=Effort(30, 1))
        if least is None:
            assert found.status == "infeasible", case.state
            continue
        assert found.status == "optimal" and found.replay is not None
        per_unit = found.replay.programme.ticks_per_unit
        assert found.in_step is not None
        planned = (round((found.changeover_time or 0) * per_unit), round(found.in_step * per_unit))
        assert planned == least, case.state
        assert found.lower_bound == found.in_step and found.replay.clean
        seen["empty" if case.state.empty else "within"] += 1
    assert seen.total() > size // 2
    assert number or (seen["empty"] and seen["within"])


@pytest.mark.parametrize("number", [chunk(number) for number in range(CHUNKS)])
@pytest.mark.parametrize("family", ["plain", "mixed", "carriers", "resting"])
def test_what_is_ordered_is_done_on_the_way_into_the_cycle_or_in_it(
    family: str, number: int
) -> None:
    """As soon as brute force has it, every load once and after its release."""
    seen: Counter[str] = Counter()
    for seed in range(1000 * number, 1000 * number + ORDERED):
        case = join_case_with_orders(family, seed)
        if case is None:
            continue
        try:
            # The cycle itself serves, later, what it carries.
            least = case.brute(serving_due=True).soonest()
        except TooLarge:
            continue
        found = hoistopt.plan(
            case.problem, case.orders, case.state, to=case.cycle, effort=Effort(30, 1)
        )
        if least is None:
            assert found.status == "infeasible", case
            continue
        assert found.status == "optimal" and found.replay is not None, case
        assert found.in_step is not None
        per_unit = found.replay.programme.ticks_per_unit
        planned = (round((found.changeover_time or 0) * per_unit), round(found.in_step * per_unit))
        assert planned == least, case
        wanted = {order.order: order for order in case.orders}
        assert sorted(found.orders.values()) == sorted(wanted)
        for load, name in found.orders.items():
            (entry,) = (r for r in found.replay.runs if r.load == load and r.stage == 0)
            assert entry.recipe == wanted[name].recipe
            assert wanted[name].release <= entry.start
            if entry.recipe not in case.carried:
                assert entry.start < found.in_step
            seen["served"] += entry.start >= found.in_step
        seen["out before" if found.changeover_time else "any"] += 1
    assert seen["out before"] + seen["any"] >= 3
    assert number or family == "mixed" or seen["served"]


@SIZES
@pytest.mark.parametrize("family", ["plain", "mixed", "carriers", "resting"])
def test_due_times_a_sequence_and_promises_hold_on_the_way_into_the_cycle(
    family: str, number: int, size: int
) -> None:
    """As little late as brute force, then as soon; and the same until the line is empty."""
    seen: Counter[str] = Counter()
    for seed in range(1000 * number, 1000 * number + size):
        case = mixed_case(family, seed)
        if case is None:
            continue
        try:
            # All that the cycle carries is served by it in time at best, nothing due at worst.
            served, least = case.brute(serving_due=True).least(), case.brute().least()
        except TooLarge:
            continue
        given: dict[str, Any] = {"in_order": case.in_order, "promised": case.promised}
        given |= {"state": case.state, "effort": Effort(30, 1)}
        found = hoistopt.plan(case.problem, case.orders, to=case.cycle, **given)
        if served is None or least is None:
            assert served is least and found.status == "infeasible", case
            continue
        assert found.replay is not None, (case, least, found)
        per_unit = found.replay.programme.ticks_per_unit
        planned = round(1000 * (found.lateness or 0) * per_unit)
        told = (found.changeover_time or 0, found.in_step or 0)
        value = (planned, *(round(time * per_unit) for time in told))
        assert served <= value <= least, case
        if value not in (served, least):
            # The cycle serves some orders, perhaps late, and joins as soon as the others let it.
            ways = [way for brute in case.brutes() if (way := brute.least()) is not None]
            assert value[1:] in [way[1:] for way in ways], (case, ways)
        if value == served:
            assert found.status == "optimal" and found.lateness == found.least_lateness, case
        else:
            assert any(order.due is not None for order in case.orders), case
            seen["not served in time"] += 1
        _kept(case, found)
        seen["late" if planned else "due" if found.due else "not due"] += 1
        if case.promised is not None and case.orders:
            _until_empty(case, given)
            seen["promised"] += 1
        seen["sequence"] += case.in_order and len(case.orders) > 1
    assert number or seen["promised"] or seen["due"], seen


def _until_empty(case: JoinCase, given: dict[str, Any]) -> None:
    """The same without the cycle."""
    assert case.promised is not None
    brute = PromisedBrute(
        case.problem, case.state, case.orders, case.promised, in_order=case.in_order
    )
    least = brute.least_late()
    found = hoistopt.plan(case.problem, case.orders, **given)
    if least is None:
        assert found.status == "infeasible"
        return
    assert found.status == "optimal" and found.replay is not None, (case, least)
    per_unit = found.replay.programme.ticks_per_unit
    told = round(1000 * (found.lateness or 0) * per_unit), round((found.finish or 0) * per_unit)
    assert told == least, case
    _kept(case, found)


def _kept(case: JoinCase, found: hoistopt.Plan) -> None:
    """What is promised has its times, and the loads ordered enter in their order."""
    assert found.replay is not None and found.programme is not None
    entered = {run.load: run.start for run in found.replay.runs if run.stage == 0}
    load_of = {name: load for load, name in found.orders.items()}
    assert sorted(load_of) == sorted(order.order for order in case.orders)
    loads = [load_of[order.order] for order in case.orders]
    assert all(
        order.release <= entered[load] for load, order in zip(loads, case.orders, strict=True)
    )
    if case.in_order:
        assert [entered[load] for load in loads] == sorted(entered[load] for load in loads)
    if case.promised is not None:
        made = {(s.load, s.stage): s for s in found.programme if s.load in found.promised}
        assert len(made) == len(case.promised)
        for step in case.promised:
            kept = made[step.load, step.stage]
            assert found.programme.time(kept.start) == case.promised.time(step.start)
            assert (kept.source, kept.target) == (step.source, step.target)


def nothing(*_: object) -> None:
    """In place of a rule."""


@pytest.mark.parametrize(
    ("rule", "family"),
    [
        ("apart", "plain"),
        ("dwell", "plain"),
        ("places", "plain"),
        ("rest", "resting"),
    ],
)
def test_a_rule_dropped_from_the_model_is_noticed(
    rule: str, family: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    for case, least in islice(cases(family, 0), DROPPED):
        with monkeypatch.context() as patched:
            if rule == "apart":
                patched.setattr(hoist, "apart", nothing)
            else:
                patched.setitem(RULES, rule, nothing)
            found = soonest_joined(*search_of(case))
        if (None if found.timing is None else found.bound) != least:
            return
    pytest.fail("no case noticed")
