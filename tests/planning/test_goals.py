"""Goals together: a cycle after a stop, with orders that are due."""

from __future__ import annotations

from fractions import Fraction
from functools import cache

import pytest

import hoistopt
from hoistopt import Order
from hoistopt.base.effort import Effort
from hoistopt.schedule.state_files import read_state
from tests.helpers.command import PROBLEMS


@cache
def least_cycle() -> hoistopt.Schedule:
    """That of the line."""
    problem = hoistopt.load_problem(PROBLEMS / "three_tanks_dryer.toml")
    cycle = hoistopt.solve(problem, degree=1, effort=Effort(10, 1)).schedule
    assert cycle is not None
    return cycle


@pytest.mark.parametrize("recover", [True, False])
def test_orders_are_no_later_for_the_sake_of_the_cycle(recover: bool) -> None:
    """The cycle can wait until the line is empty, so the least lateness is that without it."""
    problem = hoistopt.load_problem(PROBLEMS / "three_tanks_dryer.toml")
    state = read_state(PROBLEMS / "days" / "stopped.toml", problem)
    cycle = least_cycle()
    orders = [Order("Cases", due=Fraction(600))]
    alone = hoistopt.plan(problem, orders, state, recover=recover, effort=Effort(10, 1))
    found = hoistopt.plan(problem, orders, state, to=cycle, recover=recover, effort=Effort(10, 1))
    # That none is in step sooner is not proved: the cycle might serve what is due a little later.
    assert alone.status == "optimal" and found.programme is not None
    assert found.lateness == found.least_lateness == alone.lateness == alone.least_lateness
    assert found.lateness is not None and found.lateness > 0
    # Without due times the line is in step sooner.
    soon = hoistopt.plan(problem, [Order("Cases")], state, to=cycle, effort=Effort(10, 1))
    assert soon.in_step is not None and found.in_step is not None
    assert soon.in_step < found.in_step
