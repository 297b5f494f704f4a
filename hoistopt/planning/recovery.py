"""After a stop: the programme that loses the fewest loads, proven and checked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from ..base.clock import Clock
from ..instance.build_finite import build_finite
from ..instance.finite import FiniteInstance
from ..problem import Problem
from ..schedule import LineState, Order
from ..solver.finite import Programmed, Timing, overdue, possible, with_room
from ..solver.finite.recovery import Softness, overstays, recover
from .lost import priced, recovery_of, stuck, weights
from .plan_result import Plan, Recovery
from .planned import order_names, planned

PLAIN = 0.2
"""Share of the time for whether anything need be lost at all."""
NOTHING_LOST = Recovery((), 0, 0, 0, 0)


def nothing_lost(
    instance: FiniteInstance, clock: Clock, starts: Callable[[], Sequence[Timing]]
) -> bool:
    """Whether some programme is known that keeps every window; not so where time is over first."""
    if any(overdue(instance, load) for load in instance.loads):
        return False
    return possible(instance, clock.share(PLAIN)) is True or bool(starts())


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
