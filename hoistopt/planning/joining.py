"""From a state of the line into step with a cycle: a programme that is proven and checked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from ..base.clock import Clock, OutOfTime
from ..base.errors import InfeasibleError
from ..checker import ProgrammeReplay, Refused, accepted_programme, named_schedule, replay
from ..checker.programme.repeating import same_cycle
from ..instance.build_finite import build_finite, used_recipes
from ..instance.build_join import JoinBuilder
from ..instance.finite import FiniteInstance
from ..instance.ways_of_joining import Joining
from ..problem import Problem
from ..schedule import LineState, Order, Schedule, readable
from ..solver.finite import Joined, Timing, add_loads, least_finish, without_loads
from ..solver.finite.construct import first_board
from ..solver.finite.joining import Candidate, Ways, soonest_joined
from ..solver.finite.times import value
from .join_programme import joined_programme
from .plan_result import Plan
from .planned import without_programme

CLEARING = 0.2
"""Of the time, at most, for a way to empty the line first."""
NO_JOINING = (
    "There is no way into the cycle: from this state the loads in the line cannot all be taken "
    "through it, or into the cycle, within their windows, whatever the order of the moves."
)


@dataclass(frozen=True)
class Rescued:
    """How the line runs out after a stop.

    Attributes
    ----------
    timing : Timing
        Of the moves of all loads of the state.
    lost : tuple of int
        Numbers of the loads that it gives up.
    capped : callable
        Gives the problem in which no load stands longer than it may, or than there.
    """

    timing: Timing
    lost: tuple[int, ...]
    capped: Callable[[FiniteInstance], FiniteInstance]


def named_cycle(problem: Problem, schedule: Schedule) -> Schedule:
    """A cycle that can be run on a line, whatever mix the problem states, all steps named.

    Raises
    ------
    Refused
        When it breaks a rule of the line.
    InputError
        When it makes no sense on the line.
    """
    data = problem.to_data()
    carried = _carried(problem, schedule)
    seen = replay(Problem.from_data({**data, "cycle": {"mix": carried}}), schedule)
    if not seen.clean:
        raise Refused(seen)
    return named_schedule(seen.plan)


def _carried(problem: Problem, schedule: Schedule) -> dict[str, int]:
    """How many loads of each recipe enter in a cycle."""
    loading = {problem.load_station(recipe).name for recipe in problem.recipes}
    entering = [
        step
        for step in schedule
        if (step.stage == 0 if step.stage is not None else step.source in loading)
    ]
    only = problem.recipes[0].name if len(problem.recipes) == 1 else None
    names = [step.recipe or only for step in entering]
    if None in names:
        return dict(problem.cycle.mix or {problem.recipes[0].name: 1})
    return dict(Counter(name for name in names if name is not None))


def into_cycle(
    problem: Problem,
    schedule: Schedule,
    state: LineState,
    clock: Clock,
    loads_out: int = 1,
    rescued: Rescued | None = None,
    orders: Sequence[Order] = (),
) -> Plan:
    """The plan that goes over into a cycle soonest.

    Parameters
    ----------
    problem : Problem
    schedule : Schedule
        The cycle.
    state : LineState
        Checked, every load with its number.
    clock : Clock
    loads_out : int
        Loads of the cycle that are out by the end of the moves written out, at least.
    rescued : Rescued, optional
        Loads of the state that are given up, and how the line can run out; none stands longer
        in any stage than its maximum, or than there.
    orders : sequence of Order
        Checked, without due times: their loads are out before, or take part in the cycle.

    Raises
    ------
    Refused
        When the cycle breaks a rule of the line.
    InputError
        When the cycle makes no sense on the line, or too many moves would be written out.
    ProgrammeRefused
        When the independent checker refuses the programme; please report it.
    """
    named = named_cycle(problem, schedule)
    try:
        builder = JoinBuilder(problem, state, named, clock, orders, overdue=rescued is not None)
        joinings = builder.joinings()
        bounds = [builder.bound(joining) for joining in joinings]
        candidates = [
            Candidate(
                partial(_built, builder, joining, rescued),
                bound,
                all_leave=not any(taken is not None for taken in joining.taken),
            )
            for joining, bound in zip(joinings, bounds, strict=True)
        ]
    except InfeasibleError as error:
        return without_programme(problem, "infeasible", clock, f"{error}.")
    except OutOfTime:
        return without_programme(problem, "unknown", clock)
    per_unit = builder.grid
    # Whatever the changeover time, and whatever a recovery gives up, none joins earlier.
    soonest = min(b for _, b in bounds) if builder.complete else builder.least_bound()

    def tell(best: tuple[int, int] | None, bound: tuple[int, int]) -> None:
        found = None if best is None else readable(best[1] / per_unit)
        clock.tell("programme", cycle_time=found, lower_bound=readable(bound[1] / per_unit))

    try:
        found = soonest_joined(
            candidates,
            clock,
            tell,
            others=None if builder.complete else (0, soonest),
            cleared=lambda: _cleared(problem, state, orders, clock, rescued),
        )
    except InfeasibleError as error:  # what the hoist sets down in the state has no place
        return without_programme(problem, "infeasible", clock, f"{error}.")
    if found.timing is None or found.instance is None:
        reason = NO_JOINING if found.status == "infeasible" else None
        return without_programme(problem, found.status, clock, reason)
    best, timing = found.instance, found.timing
    if rescued is not None and rescued.lost:
        # Other programmes that lose as little may let other loads stand longer.
        bound = min(bounds) if builder.complete else (0, soonest)
        met = bound == value(best, timing)
        found = replace(found, status="optimal" if met else "feasible", bound=bound)
    joining = joinings[found.number]
    programme = joined_programme(problem, builder, joining, best, timing, loads_out)
    lost = () if rescued is None else rescued.lost
    seen = accepted_programme(problem, programme, state, lost=lost, made_here=True)
    if not same_cycle(seen.course, named):
        raise AssertionError("a programme that ends in another cycle than the one given")
    each = [order.order for order in orders for _ in range(order.count)]
    first = max(state.loads, default=0) + 1
    return replace(_plan(seen, found, soonest, clock), orders=dict(enumerate(each, start=first)))


def _built(
    builder: JoinBuilder, joining: Joining, rescued: Rescued | None
) -> FiniteInstance | None:
    """The problem of a way of joining; after a stop no load may stand longer than it must."""
    instance = builder.build(joining)
    return instance if instance is None or rescued is None else rescued.capped(instance)


def _cleared(
    problem: Problem,
    state: LineState,
    orders: Sequence[Order],
    clock: Clock,
    rescued: Rescued | None,
) -> Ways | None:
    """Ways by which all loads of a state, and all that are ordered, are out of the line; None
    where none are known."""
    if not used_recipes(state, orders):
        return []
    try:
        late = rescued is not None
        instance = build_finite(problem, state, orders, overdue=late, clock=clock)
    except (InfeasibleError, OutOfTime):
        return None
    timing = None if rescued is None else _with_orders(instance, rescued.timing)
    if timing is None:
        board = first_board(instance, clock.share(0.05))
        timing = None if board is None else board.timing()
    if timing is None:
        timing = least_finish(instance, clock.share(CLEARING)).timing
    if timing is None:
        return None
    return [
        [(timing.starts[move], timing.routes[move]) for move in load.moves]
        for load in instance.loads
    ]


def _with_orders(instance: FiniteInstance, rescue: Timing) -> Timing | None:
    """A rescue of the loads of the state, which come first, and the loads ordered beside it."""
    inside = [n for n, load in enumerate(instance.loads) if not load.enters]
    fixed = {
        n: [(rescue.starts[m], rescue.routes[m]) for m in instance.loads[n].moves] for n in inside
    }
    return add_loads(instance, fixed, range(len(inside), len(instance.loads)))


def _plan(seen: ProgrammeReplay, found: Joined, soonest: int, clock: Clock) -> Plan:
    programme = seen.programme
    assert found.timing is not None and found.instance is not None
    assert programme.repeats is not None
    per_unit = programme.ticks_per_unit
    without = without_loads(found.instance, found.timing)
    joined = programme.repeats.since
    # With a lesser changeover time possible little is known of the joining beside it.
    known = without is None or found.bound[0] == without
    bound = found.bound[1] if known else soonest
    return Plan(
        status=found.status,
        finish=readable(seen.finish),
        lower_bound=readable(min(bound, joined) / per_unit),
        lateness=None,
        least_lateness=None,
        programme=programme,
        replay=seen,
        orders={},
        runtime=clock.elapsed,
        problem=seen.problem,
        in_step=readable(joined / per_unit),
        changeover_time=None if without is None else readable(without / per_unit),
        least_changeover_time=None if without is None else readable(found.bound[0] / per_unit),
    )
