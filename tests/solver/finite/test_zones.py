"""Programmes of several hoists that keep to zones: what a search of many moves begins with."""

from __future__ import annotations

import hoistopt
from benchmarks.programmes.tasks import mixed, several
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.instance.build_finite import build_finite
from hoistopt.schedule import LineState
from hoistopt.solver.finite.giving_way import goes
from hoistopt.solver.finite.placing.zones import cuts, in_zones, with_ways


def test_in_zones_each_hoist_lifts_in_its_own_and_both_work() -> None:
    problem, orders = several(mixed(1, tanks=6, stages=5, recipes=2, loads=4))
    instance = build_finite(problem, LineState(), orders)
    clock = Clock(Effort(None, 1))
    shared = finishes = 0
    found = in_zones(instance, clock)
    assert found is not None and goes(instance, found)
    assert len({route.hoist for route in found.routes}) == 2
    for cut in cuts(instance):
        lifted = [{r.source for m in cut.moves for r in m.routes if r.hoist == h} for h in (0, 1)]
        assert all(lifted) and not lifted[0] & lifted[1]
        timing = with_ways(cut, clock)
        shared += 1
        if timing is not None:
            assert goes(cut, timing) and found.finish <= timing.finish
            finishes += 1
    assert shared >= 4 and finishes


def test_a_programme_of_many_moves_is_no_worse_than_zones() -> None:
    problem, orders = several(mixed(2, tanks=8, stages=6, recipes=2, loads=9))
    instance = build_finite(problem, LineState(), orders)
    zoned = in_zones(instance, Clock(Effort(None, 1)))
    plan = hoistopt.plan(problem, orders, workers=1, time_limit=3)
    assert zoned is not None and plan.replay is not None and len(instance.moves) > 60
    assert plan.replay.finish <= zoned.finish / instance.ticks_per_unit
