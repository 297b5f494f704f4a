"""Programmes of several hoists with loads late: what lateness leaves, and when a search ends."""

from __future__ import annotations

from dataclasses import replace
from threading import Event

import hoistopt
from benchmarks.programmes.tasks import mixed, several
from hoistopt import Order, Problem
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.instance.build_finite import build_finite
from hoistopt.schedule import LineState
from hoistopt.solver import cpsat
from hoistopt.solver.cpsat import proved_bound
from hoistopt.solver.finite.bounds import horizon
from hoistopt.solver.finite.giving_way import goes
from hoistopt.solver.finite.held import Held, spans_of
from hoistopt.solver.finite.model import FiniteModel
from hoistopt.solver.finite.placing.construct import first_board
from hoistopt.solver.finite.times import lateness


def late() -> tuple[Problem, list[Order]]:
    """Three loads of two recipes, all due so soon that some are late."""
    problem, orders = several(mixed(1, tanks=6, stages=5, recipes=2, loads=3))
    each = [order.recipe for order in orders for _ in range(order.count)]
    dues = (600, 700, 500)
    return problem, [
        Order(name, due=due, weight=weight)
        for name, due, weight in zip(each, dues, (1, 2, 1), strict=True)
    ]


def test_what_lateness_leaves_out_holds_no_better_programme() -> None:
    problem, orders = late()
    instance, clock = build_finite(problem, LineState(), orders), Clock(Effort(None, 1))
    board = first_board(instance, clock)
    assert board is not None
    begun = lateness(instance, board.timing())
    latest = horizon(instance)
    least = {}
    for most in (None, begun):
        model = FiniteModel(replace(instance, late_most=most), latest, clock)
        model.model.minimize(model.lateness())
        status, solver = cpsat.minimise(model.model, lambda *_: None, clock, symmetry=False)
        assert status == "optimal"
        least[most] = round(solver.objective_value)
    assert 0 < least[None] == least[begun] <= begun
    free = spans_of(instance, latest)
    held = spans_of(replace(instance, late_most=begun), latest)
    assert all(low == a and b <= high for (low, high), (a, b) in zip(free, held, strict=True))
    assert held != free


def test_any_order_is_no_later_than_the_one_given() -> None:
    problem, orders = late()
    free, given = (
        hoistopt.plan(problem, orders, in_order=held, workers=1) for held in (False, True)
    )
    assert free.status == "optimal" and free.lateness is not None and given.lateness is not None
    assert free.lateness <= given.lateness


def test_ways_are_not_sought_beyond_a_stop() -> None:
    problem, orders = late()
    instance, stop = build_finite(problem, LineState(), orders), Event()
    board = first_board(instance, Clock(Effort(None, 1)))
    assert board is not None
    timing = board.timing()
    asked = Clock(Effort(None, 1, stop=stop))
    assert goes(instance, timing) == goes(instance, timing, asked, first=True)
    stop.set()
    assert not goes(instance, timing, asked, first=True)
    over = Clock(Effort(0.0001, 1))
    while not over.over:
        pass
    assert not goes(instance, timing, over)
    assert goes(instance, timing, over, first=True) == goes(instance, timing)


def test_two_held_moves_that_start_at_once_can_be_hinted() -> None:
    problem, orders = late()
    instance, clock = build_finite(problem, LineState(), orders), Clock(Effort(None, 1))
    board = first_board(instance, clock)
    assert board is not None
    timing = board.timing()
    one, other = (load.moves[0] for load in instance.loads[:2])
    held = Held({one: 0, other: 0}, {}, 0, 0, timing.finish)
    model = FiniteModel(instance, timing.finish, clock, held)
    model.hint(timing)
    assert not model.model.validate()


def test_a_model_whose_time_is_over_at_once_gives_no_bound() -> None:
    clock = Clock(Effort(0.0001, 1))
    while not clock.over:
        pass
    model = cpsat.new_model()
    model.minimize(model.new_int_var(3, 5, ""))
    status, solver = cpsat.minimise(model, lambda *_: None, clock)
    assert status == "unknown" and proved_bound(solver, status) == 0
