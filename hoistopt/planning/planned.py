"""From what a search found to a plan: proven, checked, or the reason why there is none; and back,
from a step that is known to its route."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from ..base.clock import Clock
from ..base.effort import Effort
from ..checker import accepted_programme
from ..conflict.mus import HURRY
from ..conflict.programme import programme_conflict
from ..instance import Route
from ..instance.finite import WEIGHTS, FiniteInstance
from ..problem import Problem
from ..schedule import LineState, Order, Programme, Step, Travel, readable
from ..solver.finite import Programmed, Timing, lateness, travels_once
from .plan_result import Plan
from .result import Status

NOT_PROVED = (
    "None keeps several hoists apart with the gaining of top speed counted in full; over short "
    "ways less time is needed, so one may exist."
)
NO_WAY_BESIDE = "Beside what is promised there is no way through the line for a load that waits."


def planned(
    problem: Problem,
    instance: FiniteInstance,
    state: LineState,
    names: dict[int, str],
    found: Programmed,
    clock: Clock,
    lost: Sequence[int] = (),
) -> Plan:
    """The plan with the timing found, once the checker has accepted it.

    Parameters
    ----------
    names : dict of int to str
        Name of the order of each load that enters.
    lost : sequence of int
        Numbers of loads that may stand longer than a maximum.
    """
    assert found.timing is not None
    travels = travels_once(instance, found.timing)
    assert travels is not None, "the search keeps none without"
    programme = programme_of(problem, instance, found.timing, travels)
    seen = accepted_programme(problem, programme, state, lost=lost, made_here=True)
    per_unit = instance.ticks_per_unit
    return Plan(
        status=found.status,
        finish=readable(found.timing.finish / per_unit),
        lower_bound=readable(found.bound / per_unit),
        lateness=weighted(lateness(instance, found.timing), instance) if instance.due else None,
        least_lateness=weighted(found.late_bound, instance) if instance.due else None,
        programme=programme,
        replay=seen,
        orders=names,
        runtime=clock.elapsed,
        problem=problem,
        due=due_times(instance),
    )


def teller(instance: FiniteInstance, clock: Clock) -> Callable[[int | None, int], None]:
    """Tells whoever listens to a clock of the best finish so far, if any, and of the bound.

    Both are given in ticks and told in the problem's unit.
    """

    def tell(finish: int | None, bound: int) -> None:
        best = None if finish is None else readable(finish / instance.ticks_per_unit)
        least = readable(bound / instance.ticks_per_unit)
        clock.tell("programme", cycle_time=best, lower_bound=least)

    return tell


def due_times(instance: FiniteInstance) -> dict[int, Fraction]:
    """When each load that has a due time is due, by its number."""
    per_unit = instance.ticks_per_unit
    return {x.number: Fraction(x.due) / per_unit for x in instance.loads if x.due is not None}


def order_names(instance: FiniteInstance, orders: Sequence[Order]) -> dict[int, str]:
    """Name of the order of each load that enters, by its number."""
    each = [order.order for order in orders for _ in range(order.count)]
    return dict(zip((load.number for load in instance.entering()), each, strict=True))


def without_programme(
    problem: Problem, status: Status, clock: Clock, reason: str | None = None
) -> Plan:
    """The plan that there is none."""
    return Plan(
        status, None, None, None, None, None, None, {}, clock.elapsed, reason, problem=problem
    )


def in_conflict(
    problem: Problem,
    state: LineState,
    orders: Sequence[Order],
    clock: Clock,
    otherwise: str | None = None,
    *,
    proved: bool = True,
) -> Plan:
    """The plan that there is none, and what cannot be kept together.

    Where that is not found in time, the reason is a general one; or nothing is known, where it is
    not `proved` that there is none.
    """
    runtime = clock.elapsed
    hurry = Clock(Effort(HURRY, 1, clock.seed, clock.effort.stop))
    conflict = programme_conflict(problem, state, orders, hurry)
    if conflict.status != "conflict" and not proved:
        return without_programme(problem, "unknown", clock, NOT_PROVED)
    reason = (
        conflict.sentence(most=8)
        if conflict.status == "conflict"
        else otherwise
        or "The loads cannot all be taken through the line within their windows, whatever "
        "the order of the moves."
    )
    return Plan(
        "infeasible",
        None,
        None,
        None,
        None,
        None,
        None,
        {},
        runtime,
        reason,
        problem=problem,
        conflict=conflict,
        recoverable=not state.empty and all(d.kind != "load" for d in conflict.demands),
    )


def weighted(ticks: int, instance: FiniteInstance) -> float:
    """Weighted lateness in the problem's unit."""
    return float(Fraction(ticks, WEIGHTS) / instance.ticks_per_unit)


def programme_of(
    problem: Problem, instance: FiniteInstance, timing: Timing, travels: tuple[Travel, ...]
) -> Programme:
    """The moves at their times, and the travels, as a programme."""
    hoists = None if instance.several is None else instance.several.names
    names = [station.name for station in problem.stations]
    return Programme(
        instance.ticks_per_unit,
        tuple(
            Step(
                start=timing.starts[move.index],
                source=names[timing.routes[move.index].source],
                target=names[timing.routes[move.index].target],
                recipe=instance.loads[move.job].recipe,
                load=instance.loads[move.job].number,
                stage=move.stage,
                hoist=None if hoists is None else hoists[timing.routes[move.index].hoist],
            )
            for move in instance.moves
        ),
        travels=travels,
    )


def stations_numbered(problem: Problem) -> dict[str, int]:
    """The place of each station, by its name."""
    return {station.name: place for place, station in enumerate(problem.stations)}


def route_of(
    instance: FiniteInstance, move: int, step: Step, number: dict[str, int]
) -> Route | None:
    """The route of a move that has the ends and the hoist of a step; None where none has."""
    ends = number[step.source], number[step.target]
    several = instance.several
    for route in instance.moves[move].routes:
        by = None if several is None else several.names[route.hoist]
        if (route.source, route.target) == ends and (several is None or by == step.hoist):
            return route
    return None
