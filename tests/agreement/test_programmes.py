"""Programmes of least finish against brute force in absolute time, and rules dropped."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import count, islice

import pytest

import hoistopt
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.solver.finite import chained, least_finish, lower_bound
from hoistopt.solver.finite.model.rules import RULES, hoist
from tests.helpers.programmes.finite_cases import FiniteCase, finite_case
from tests.helpers.usual import first
from tests.reference.lines import FAMILIES
from tests.reference.programmes.programmes import Brute

CASES = 8
"""Of each family, half of them in the usual run; the time goes into brute force."""
DROPPED = 20
"""Cases among which a dropped rule must show."""


def drawn(family: str, numbers: range) -> Iterator[FiniteCase]:
    """Those cases of a family."""
    all_of_them = (case for seed in count() if (case := finite_case(family, seed)) is not None)
    return islice(all_of_them, numbers.start, numbers.stop)


def least_finish_of(case: FiniteCase) -> int | None:
    """By brute force."""
    return Brute(case.problem, case.state, case.orders).least()


@pytest.mark.parametrize("numbers", first(CASES // 2, range(CASES)))
@pytest.mark.parametrize("family", FAMILIES)
def test_the_least_finish_is_that_of_brute_force(
    family: str, numbers: range, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And no bound is above it, that of few chains of moves neither."""
    monkeypatch.setattr(chained, "CHAINS", (1_000,))
    seen: Counter[bool] = Counter()
    for case in drawn(family, numbers):
        least = least_finish_of(case)
        effort = Effort(30, 1)
        found = hoistopt.plan(case.problem, case.orders, case.state, effort=effort)
        seen[least is None] += 1
        if least is None:
            assert found.status == "infeasible", (case.state, case.orders)
            continue
        assert found.status == "optimal" and found.replay is not None
        per_unit = found.replay.programme.ticks_per_unit
        planned = round(found.finish * per_unit)  # type: ignore[operator]
        assert planned == least, (case.state, case.orders)
        assert found.lower_bound == found.finish
        assert case.instance is not None
        assert lower_bound(case.instance) <= least
        assert chained.chained_bound(case.instance, Clock()) <= least, case
        assert found.replay.clean and not found.replay.left
    assert seen[False] >= len(numbers) // 2


def nothing(*_: object) -> None:
    """In place of a rule."""


@pytest.mark.parametrize(
    ("rule", "family"),
    [
        ("apart", "plain"),
        ("dwell", "plain"),
        ("places", "plain"),
        ("rest", "resting"),
        ("ends", "turns"),
        ("carriers", "carriers"),
    ],
)
def test_a_rule_dropped_from_the_model_is_noticed(
    rule: str, family: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    for case in drawn(family, range(DROPPED)):
        if case.instance is None:
            continue
        with monkeypatch.context() as patched:
            if rule == "apart":
                patched.setattr(hoist, "apart", nothing)
            else:
                patched.setitem(RULES, rule, nothing)
            found = least_finish(case.instance, Clock(Effort(10, 1)))
        if (None if found.timing is None else found.timing.finish) != least_finish_of(case):
            return
    pytest.fail("no case noticed")
