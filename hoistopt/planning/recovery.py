"""After a stop: the programme that loses the fewest loads, proven and checked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction

from ..base.clock import Clock, OutOfTime
from ..base.decimals import as_decimal
from ..base.errors import InfeasibleError
from ..instance.build_finite import build_finite
from ..instance.finite import WEIGHTS, FiniteInstance
from ..problem import Problem
from ..schedule import LineState, Order, Schedule, readable
from ..solver.finite import Programmed
from ..solver.finite.recovery import Recovered, Softness, overstays, recover
from .joining import Rescued, into_cycle
from .plan_result import Plan, Recovery
from .planned import in_conflict, order_names, planned, without_programme

STUCK = "Even with every load in the line given up there is no way through it."
JOIN = 0.5
"""Share of the time for how little is lost, where a cycle is joined after that."""


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
    weight = _weights(state)
    whole = Softness(instance, _priced(instance, weight))
    alone = whole
    if orders:
        inside = _inside(problem, state, instance, clock)
        alone = Softness(inside, _priced(inside, weight))
    found = recover(whole, alone, clock, tell)
    if found.timing is None:
        return _none(problem, state, found, clock)
    numbers = sorted(instance.loads[n].number for n in overstays(instance, found.timing))
    solved = Programmed(found.status, found.timing, found.bound, found.late_bound)
    names = order_names(instance, orders)
    answer = planned(problem, instance, state, names, solved, clock, numbers)
    assert answer.replay is not None
    lost = tuple(sorted({one.load for one in answer.replay.overstays}))
    return replace(answer, recovery=_recovery(instance, found, lost, weight))


def recovered_into_cycle(
    problem: Problem,
    schedule: Schedule,
    state: LineState,
    orders: Sequence[Order],
    clock: Clock,
    loads_out: int,
) -> Plan:
    """The plan that loses the fewest loads of a state and goes over into a cycle.

    What is lost is a question about the loads in the line alone: the cycle can wait until
    they are out. So that is asked first; then no load stands longer than it may, or than was
    found there, and the cycle is joined as soon as can be.

    Parameters
    ----------
    problem, schedule, state, orders, clock, loads_out
        As for :func:`.joining.into_cycle`.

    Raises
    ------
    Refused, InputError, ProgrammeRefused
        As there.
    """
    weight = _weights(state)
    try:
        instance = build_finite(problem, state, (), overdue=True, clock=clock)
    except InfeasibleError as error:
        return without_programme(problem, "infeasible", clock, f"{error}.")
    except OutOfTime:
        return without_programme(problem, "unknown", clock)
    priced = _priced(instance, weight)
    alone = Softness(instance, priced)
    found = recover(alone, alone, clock.share(JOIN), None)
    timing = found.timing
    if timing is None:
        return _none(problem, state, found, clock)
    numbers = tuple(sorted(instance.loads[n].number for n in overstays(instance, timing)))

    def capped(joining: FiniteInstance) -> FiniteInstance:
        return Softness(joining, priced).capped(timing)

    answer = into_cycle(
        problem, schedule, state, clock, loads_out, Rescued(timing, numbers, capped), orders
    )
    if answer.replay is None:
        return answer
    lost = tuple(sorted({one.load for one in answer.replay.overstays}))
    over = sum((one.by for one in answer.replay.overstays), Fraction(0))
    over = Fraction(as_decimal(over, Fraction(1, instance.ticks_per_unit)))
    told = _recovery(instance, found, lost, weight)
    least = min(over, found.least_over / instance.ticks_per_unit)
    told = replace(told, overstay=readable(over), least_overstay=readable(least))
    proved = told.proven or answer.status != "optimal"
    return replace(answer, recovery=told, status=answer.status if proved else "feasible")


def _none(problem: Problem, state: LineState, found: Recovered, clock: Clock) -> Plan:
    """No programme was found, though every load in the line may be lost."""
    if found.status == "infeasible":
        return in_conflict(problem, state, (), clock, STUCK)
    return without_programme(problem, found.status, clock)


def _weights(state: LineState) -> dict[int, Fraction]:
    """What each load in the line counts, by number."""
    found = {entry.load: entry.weight for entry in state.standing if entry.load is not None}
    if state.hoist is not None and (one := state.hoist.carries) is not None:
        assert one.load is not None
        found[one.load] = one.weight
    return found


def _priced(instance: FiniteInstance, weight: dict[int, Fraction]) -> dict[int, int]:
    """The same by place in the instance, in whole numbers, of the loads that are in it."""
    return {
        place: round(weight[load.number] * WEIGHTS)
        for place, load in enumerate(instance.loads)
        if load.place is not None
    }


def _inside(
    problem: Problem, state: LineState, instance: FiniteInstance, clock: Clock
) -> FiniteInstance:
    """The problem of the loads in the line alone; that of an empty one has no loads."""
    if all(load.enters for load in instance.loads):
        return replace(instance, moves=(), stays=(), loads=(), outlets=frozenset())
    return build_finite(problem, state, (), overdue=True, clock=clock)


def _recovery(
    instance: FiniteInstance, found: Recovered, lost: tuple[int, ...], weight: dict[int, Fraction]
) -> Recovery:
    """What is lost, as the checker saw it; planned dwells are longer by less than a tick."""
    gone = sum((weight[load] for load in lost), Fraction(0))
    return Recovery(
        lost=lost,
        weight=readable(gone),
        least_weight=readable(min(gone, Fraction(found.least_lost, WEIGHTS))),
        overstay=readable(found.over / instance.ticks_per_unit),
        least_overstay=readable(found.least_over / instance.ticks_per_unit),
    )
