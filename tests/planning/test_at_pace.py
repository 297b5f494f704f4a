"""Loads of orders entered in the places of a cycle."""

from __future__ import annotations

import hoistopt
from hoistopt import LineState, Order
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.instance.build_finite import build_finite
from hoistopt.planning.from_cycle import from_cycle

ORDERS = [Order("Brackets", 3), Order("Brackets", 2, release=700, due=1500)]


def test_loads_enter_once_they_are_released_and_in_their_turn() -> None:
    problem = hoistopt.load_problem("problems/several/two_hoists.toml")
    for sequence in (False, True):
        instance = build_finite(problem, LineState(), ORDERS, in_order=sequence)
        clock = Clock(Effort(20, 1))
        (timing,) = from_cycle(problem, instance, LineState(), ORDERS, clock)
        entered = [timing.starts[load.moves[0]] for load in instance.loads]
        released = [load.earliest for load in instance.loads]
        assert all(start >= since for start, since in zip(entered, released, strict=True))
        assert min(entered[3:]) > max(entered[:3]) if sequence else entered[0] == 0


def test_few_loads_are_no_cycle() -> None:
    problem = hoistopt.load_problem("problems/several/two_hoists.toml")
    orders = [Order("Brackets")]
    instance = build_finite(problem, LineState(), orders)
    assert from_cycle(problem, instance, LineState(), orders, Clock(Effort(5, 1))) == []
