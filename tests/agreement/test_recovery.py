"""Recoveries against brute force: no load lost that can be saved, no overstay that need not be."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from itertools import count, islice

import pytest

import hoistopt
from hoistopt import Plan
from hoistopt.base.effort import Effort
from tests.helpers.stopped_cases import StoppedCase, stopped_case
from tests.reference.lines import FAMILIES
from tests.reference.recovery import BruteRecovery

CASES, MORE = 12, 100
"""Of each family; the time goes into brute force."""
SLOW = {"everything": 5}
"""Cases of families in which a load has many ways."""


def cases(family: str) -> Iterator[StoppedCase]:
    for seed in count():
        case = stopped_case(family, seed)
        if case is not None:
            yield case


def agree(case: StoppedCase) -> int | None:
    """Loads lost, once plan and brute force agree; None where there is no way at all."""
    least = BruteRecovery(case.problem, case.state, case.orders).least_loss()
    given = (case.problem, case.orders, case.state)
    effort = Effort(30, 1)
    found = hoistopt.plan(*given, recover=True, effort=effort)
    if least is None:
        assert found.status == "infeasible" and not found.recoverable, case
        assert found.conflict is not None and found.conflict.minimal
        assert {demand.kind for demand in found.conflict.demands} == {"load"}
        return None
    seen, recovery = found.replay, found.recovery
    assert found.status == "optimal" and seen is not None and recovery is not None, case
    per_unit = seen.programme.ticks_per_unit
    told = (recovery.overstay * per_unit, found.finish * per_unit)  # type: ignore[operator]
    assert (recovery.least_weight, *map(round, told)) == least, case
    assert (recovery.least_weight, recovery.least_overstay) == (recovery.weight, recovery.overstay)
    # The checker, by rules of its own: the same loads, and dwells other by rounding alone.
    assert {one.load for one in seen.overstays} == set(recovery.lost) and not seen.left
    exact = sum(one.by for one in seen.overstays) * per_unit
    assert abs(round(told[0]) - exact) <= len(seen.overstays)
    whole = hoistopt.replay_programme(case.problem, seen.programme, case.state)
    assert whole.clean == (not recovery.lost)
    if recovery.lost:
        _conflict_is_one(case, hoistopt.plan(*given, effort=effort))
    return len(recovery.lost)


def _conflict_is_one(case: StoppedCase, found: Plan) -> None:
    """No programme keeps all maxima of the loads blamed, whatever the others may do."""
    assert found.status == "infeasible" and found.recoverable and found.conflict is not None
    assert found.conflict.minimal and found.conflict.demands, case
    blamed = {demand.load for demand in found.conflict.demands if demand.load}
    assert blamed
    brute = BruteRecovery(case.problem, case.state, case.orders)
    brute.weights = [Fraction(load in blamed) for load in case.state.loads if load in brute.numbers]
    least = brute.least_loss()
    assert least is not None and least[0] >= 1, (case, found.reason)


@pytest.mark.parametrize("family", FAMILIES)
def test_no_load_is_lost_that_can_be_saved(family: str) -> None:
    seen = Counter(agree(case) for case in islice(cases(family), SLOW.get(family, CASES)))
    assert seen[0] and seen[1] + seen[2], seen


@pytest.mark.long
@pytest.mark.parametrize("family", FAMILIES)
def test_no_load_is_lost_that_can_be_saved_in_more_cases(family: str) -> None:
    for case in islice(cases(family), CASES, MORE):
        agree(case)
