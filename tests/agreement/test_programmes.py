"""Programmes of least finish against brute force in absolute time, and rules dropped."""

from __future__ import annotations

from collections import Counter
from functools import cache
from itertools import count

import pytest

import hoistopt
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.solver.finite import chained, least_finish, lower_bound
from hoistopt.solver.finite.model.rules import RULES, hoist
from tests.helpers.programmes.finite_cases import FiniteCase, finite_case
from tests.reference.lines import FAMILIES
from tests.reference.programmes.programmes import Brute

CASES = 8
"""Of each family; the time goes into brute force."""
DROPPED = 20
"""Cases among which a dropped rule must show."""


@cache
def cases(family: str, number: int) -> list[tuple[FiniteCase, int | None]]:
    """So many cases with the least finish by brute force."""
    found: list[tuple[FiniteCase, int | None]] = []
    for seed in count():
        case = finite_case(family, seed)
        if case is not None:
            found.append((case, Brute(case.problem, case.state, case.orders).least()))
        if len(found) == number:
            return found
    raise AssertionError


@pytest.mark.parametrize("family", FAMILIES)
def test_the_least_finish_is_that_of_brute_force(
    family: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And no bound is above it, that of few chains of moves neither."""
    monkeypatch.setattr(chained, "CHAINS", (1_000,))
    seen: Counter[bool] = Counter()
    for case, least in cases(family, CASES):
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
    assert seen[False] > CASES // 2


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
    known = cases(family, DROPPED)
    if rule == "apart":
        monkeypatch.setattr(hoist, "apart", nothing)
    else:
        monkeypatch.setitem(RULES, rule, nothing)
    differ = 0
    for case, least in known:
        if case.instance is None:
            continue
        found = least_finish(case.instance, Clock(Effort(10, 1)))
        differ += (None if found.timing is None else found.timing.finish) != least
    assert differ
