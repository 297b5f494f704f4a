"""Whether a degree keeps a pace wished for."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from hoistopt import Effort, solve
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Stop
from hoistopt.planning.best_degree import reaching
from hoistopt.planning.best_degree.reaching import degree_reaching
from tests.helpers.lines.grouped import grouped

pytestmark = pytest.mark.quick

ONE = Effort(workers=1, time_limit=60)


def test_the_least_pace_is_reached_and_none_a_tick_below() -> None:
    problem = grouped(3)
    best = solve(problem, "best", effort=ONE)
    assert best.degree == 3 and best.schedule is not None
    least = best.schedule.time(best.schedule.cycle) / 3
    found = degree_reaching(problem, lambda degree: degree * least, Clock(ONE))
    assert (found.degree, found.at_most) == (3, 3 * least)
    assert found.schedule is not None and found.schedule.time(found.schedule.cycle) == 3 * least
    tick = Fraction(1, best.schedule.ticks_per_unit) / 100
    none = degree_reaching(problem, lambda degree: degree * (least - tick), Clock(ONE))
    assert (none.degree, none.schedule, none.proved) == (None, None, True)
    assert none.looked_at == (2, 3, 6) and none.not_reached == ()


def test_the_search_ends_once_the_pace_is_reached() -> None:
    """The best degree is 3; a pace that 2 keeps needs no search of it."""
    found = degree_reaching(grouped(3), lambda degree: Fraction(180 * degree), Clock(ONE))
    assert found.degree == 2 and found.looked_at == (2,)


def test_without_time_nothing_is_looked_at() -> None:
    stop = Stop()
    stop.set()
    found = degree_reaching(grouped(3), lambda degree: Fraction(degree), Clock(Effort(stop=stop)))
    assert (found.looked_at, found.proved, found.degree) == ((), False, None)


def test_a_degree_without_a_turn_is_not_among_those_looked_at(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    least = solve(grouped(3), "best", effort=ONE)
    assert least.choice is not None
    results = tuple(
        replace(one, runtime=0.0, lower_bound=0.0) if one.degree == 3 else one
        for one in least.choice.results
    )
    cut = replace(least, choice=replace(least.choice, results=results))
    monkeypatch.setattr(reaching, "solve_best_degree", lambda *_, **__: cut)
    found = degree_reaching(grouped(3), lambda degree: Fraction(degree), Clock(ONE))
    assert found.looked_at == (2, 6) and found.not_reached == (3,)
