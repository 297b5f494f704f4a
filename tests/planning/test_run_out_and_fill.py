"""A cycle joined from a full line: no later than the line run out, then filled."""

from __future__ import annotations

from fractions import Fraction
from functools import cache

import hoistopt
from hoistopt import LineState, Order
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.instance.build_finite import build_finite
from hoistopt.instance.build_join import JoinBuilder
from hoistopt.planning.joining.filling import Filling
from hoistopt.schedule.state_files import read_state
from hoistopt.solver.finite import least_finish
from hoistopt.solver.finite.joining.run_out_and_fill import with_fill
from tests.helpers.command import PROBLEMS

FAST = Effort(10, 1)
LINE = hoistopt.load_problem(PROBLEMS / "three_tanks_dryer.toml")


@cache
def least_cycle() -> hoistopt.Schedule:
    """That of the line, all steps named."""
    found = hoistopt.solve(LINE, degree=1, effort=FAST).replay
    assert found is not None
    return hoistopt.named_schedule(found.plan)


def test_what_fills_the_empty_line_fills_it_after_a_run_out() -> None:
    """Ways and dwells stay, all moves before are made, and too early there is no room."""
    state = read_state(PROBLEMS / "days" / "stopped.toml", LINE).numbered()
    clock, cycle = Clock(FAST), least_cycle()
    filling = Filling(LINE, cycle, clock, needed=True)
    out = least_finish(build_finite(LINE, state, ()), clock).timing
    builder = JoinBuilder(LINE, state, cycle, clock)
    tried = 0
    for joining in builder.joinings():
        fill = filling.of(joining, builder.inside)
        if not fill or any(taken is not None for taken in joining.taken):
            continue
        tried += 1
        instance = builder.build(joining)
        assert instance is not None and out is not None
        cleared = [
            [(out.starts[move], out.routes[move]) for move in load.moves]
            for load in instance.loads[: len(joining.taken)]
        ]
        long = sum(route.duration + dwell for way in fill.values() for route, dwell in way)
        at = out.finish + instance.reach + long
        board = with_fill(instance, at, cleared, fill)
        assert board is not None
        timing = board.timing()
        for number, way in enumerate(cleared):
            assert board.ways[number] == way
        for number, way in fill.items():
            moves = instance.loads[number].moves
            for (route, dwell), one, other in zip(way, moves, moves[1:], strict=False):
                assert timing.routes[one] == route
                assert timing.starts[other] - timing.end(one) == dwell
        assert with_fill(instance, 0, cleared, fill) is None
    assert tried


def test_nothing_is_known_of_a_line_that_is_empty_itself() -> None:
    """There the search is for the filling itself."""
    clock, cycle = Clock(FAST), least_cycle()
    builder = JoinBuilder(LINE, LineState(), cycle, clock)
    filling = Filling(LINE, cycle, clock, needed=False)
    assert not any(filling.of(joining, builder.inside) for joining in builder.joinings())


def test_only_what_the_cycle_serves_too_late_is_done_before_it() -> None:
    """An order that is due early enters before; one due late waits for the cycle."""
    cycle = least_cycle()
    alone = hoistopt.plan(LINE, [Order("Cases", 2)], effort=FAST).finish
    assert alone is not None
    early = Order("Cases", 2, due=Fraction(str(alone)), order="early")
    late = Order("Cases", 6, due=Fraction(100_000), order="late")
    one = hoistopt.plan(LINE, [early], to=cycle, effort=FAST)
    both = hoistopt.plan(LINE, [early, late], to=cycle, effort=FAST)
    assert one.lateness == both.lateness == 0
    assert both.in_step == one.in_step
    assert set(both.orders.values()) == {"early", "late"}
