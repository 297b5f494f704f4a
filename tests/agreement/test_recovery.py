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
from hoistopt.solver.finite.recovery.soft_model import SoftModel
from tests.helpers.programmes.stopped_cases import StoppedCase, stopped_case
from tests.reference.lines import FAMILIES
from tests.reference.programmes.recovery import BruteRecovery

CASES, MORE = 6, 100
"""Of each family; the time goes into brute force."""
OTHER = {"everything": 3, "reentrant": 10}
"""Cases of families in which a load has many ways, or is seldom saved."""


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
    seen = Counter(agree(case) for case in islice(cases(family), OTHER.get(family, CASES)))
    assert seen[0] and seen[1] + seen[2], seen


@pytest.mark.long
@pytest.mark.parametrize("family", FAMILIES)
def test_no_load_is_lost_that_can_be_saved_in_more_cases(family: str) -> None:
    for case in islice(cases(family), OTHER.get(family, CASES), MORE):
        agree(case)


@pytest.mark.parametrize("family", ["plain", "carriers"])
def test_going_back_into_a_cycle_loses_no_more(family: str) -> None:
    """The cycle can wait until the line is empty, so it costs no load."""
    lost = 0
    for case in islice(cases(family), 6):
        cycle = hoistopt.solve(case.problem, effort=Effort(5, 1)).schedule
        assert cycle is not None
        given = {"state": case.state, "recover": True, "effort": Effort(20, 1)}
        alone = hoistopt.plan(case.problem, **given).recovery  # type: ignore[arg-type]
        found = hoistopt.plan(case.problem, to=cycle, **given)  # type: ignore[arg-type]
        assert alone is not None and found.recovery is not None and found.in_step is not None
        assert found.recovery.weight == alone.weight == found.recovery.least_weight
        assert found.recovery.overstay <= alone.overstay + 1  # ticks are whole seconds here
        lost += len(found.recovery.lost)
    assert lost


def test_a_maximum_that_costs_nothing_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(SoftModel, "_gives", lambda model, variables, *_: variables.horizon)
    for case in islice(cases("tight"), 12):
        effort = Effort(5, 1)
        try:
            found = hoistopt.plan(
                case.problem, case.orders, case.state, recover=True, effort=effort
            )
        except hoistopt.ProgrammeRefused:
            return
        least = BruteRecovery(case.problem, case.state, case.orders).least_loss()
        told = found.recovery
        assert told is not None and least is not None
        if (told.least_weight, told.weight) != (least[0], least[0]):
            return
    pytest.fail("no case noticed")
