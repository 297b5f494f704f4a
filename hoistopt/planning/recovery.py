"""After a stop: the programme that loses the fewest loads, proven and checked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from ..base.clock import Clock
from ..instance.build_finite import build_finite
from ..instance.finite import FiniteInstance
from ..problem import Problem
from ..schedule import LineState, Order
from ..solver.finite import Programmed, with_room
from ..solver.finite.recovery import Softness, overstays, recover
from .lost import priced, recovery_of, stuck, weights
from .plan_result import Plan
from .planned import order_names, planned


def recovered(
    problem: Problem,
    state: LineState,
    orders: Sequence[Order],
    instance: FiniteInstance,
    clock: Clock,
    tell: Callable[[int | None, int], None],
) -> Plan:
    """The plan that loses the fewest loads of a state, by weight.

    Parameters
    ----------
    problem : Problem
    state : LineState
        Checked, every load with its number.
    orders : sequence of Order
    instance : FiniteInstance
        Of state and orders, with loads that are overdue let pass.
    clock : Clock
    tell : callable
        Hears the best finish so far and the bound, in ticks.

    Raises
    ------
    ProgrammeRefused
        When the independent checker refuses the programme; please report it.
    """
    weight = weights(state)
    whole = Softness(instance, priced(instance, weight))
    alone = whole
    if orders:
        inside = _inside(problem, state, instance, clock)
        alone = Softness(inside, priced(inside, weight))
    found = recover(whole, alone, clock, tell)
    if found.timing is None:
        return stuck(problem, state, found, clock, proved=instance.needed is instance)
    timing = with_room(whole.capped(found.timing), found.timing, clock)
    numbers = sorted(instance.loads[n].number for n in overstays(instance, timing))
    solved = Programmed(found.status, timing, found.bound, found.late_bound)
    names = order_names(instance, orders)
    answer = planned(problem, instance, state, names, solved, clock, numbers)
    assert answer.replay is not None
    lost = tuple(sorted({one.load for one in answer.replay.overstays}))
    return replace(answer, recovery=recovery_of(instance, found, lost, weight))


def _inside(
    problem: Problem, state: LineState, instance: FiniteInstance, clock: Clock
) -> FiniteInstance:
    """The problem of the loads in the line alone; that of an empty one has no loads."""
    if all(load.enters for load in instance.loads):
        return replace(instance, moves=(), stays=(), loads=(), outlets=frozenset(), sequence=())
    return build_finite(problem, state, (), overdue=True, clock=clock)
