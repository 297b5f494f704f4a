"""From a state of the line and a list of orders to a programme that is proven and checked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache

from ..base.clock import Clock, OutOfTime
from ..base.effort import Effort, Progress, effort_of
from ..base.errors import InfeasibleError, InputError
from ..instance.build_finite import build_finite
from ..problem import Problem
from ..schedule import LineState, Order, Programme, Schedule
from ..schedule.orders import check_orders
from ..schedule.state_checks import check_state
from ..solver.finite import Timing, least_finish, overdue, with_room
from .from_cycle import from_cycle, paces
from .joining.from_state import Asked
from .joining.into_cycle import into_cycle
from .plan_result import Plan
from .planned import NO_WAY_BESIDE, in_conflict, order_names, planned, teller, without_programme
from .promised import promise_of
from .recovery import NOTHING_LOST, nothing_lost, recovered
from .run_out import run_out

USUAL_LIMIT = 10.0
"""Seconds of search where no limit is given."""


def plan(
    problem: Problem,
    orders: Sequence[Order] = (),
    state: LineState | None = None,
    *,
    to: Schedule | None = None,
    loads_out: int = 1,
    in_order: bool = False,
    recover: bool = False,
    promised: Programme | None = None,
    lost: Sequence[int] = (),
    time_limit: float | None = None,
    workers: int | None = None,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
    effort: Effort | None = None,
) -> Plan:
    """Take all loads of a state, and all that are ordered, through the line until it is empty,
    or go over into a cycle.

    Where orders have due times the weighted lateness is least, and of those the finish;
    else the finish. Into a cycle the changeover time takes the place of the finish, where loads
    in the line are of recipes that the cycle does not carry, and of those the time from which the
    line is in step; else that time.

    Parameters
    ----------
    problem : Problem
        The line and its recipes. Its mix, the order of its mix and its pace mean nothing
        here.
    orders : sequence of Order, optional
        Loads that are to enter; without any the line runs out.
    state : LineState, optional
        What stands where now; by default the line is empty and the hoist waits where it is
        needed first.
    to : Schedule, optional
        The cycle to go over into. The loads of the state, and those ordered, take part in it
        or are out before; as many others enter as it takes. What is ordered of its recipes may
        be served by loads that it brings in later, where none that has a due time is late so.
    loads_out : int
        Loads of the recipes of the cycle that are to be out by the end of the moves given,
        at least.
    in_order : bool
        Whether loads enter in the order of `orders`; else in whichever is best.
    recover : bool
        Whether loads of the state may be lost: stand longer than a maximum, and go their
        way all the same. Then the fewest are lost, by weight; of such programmes they stand
        too long for the least time in all; then come lateness and finish. Else every window
        is kept, or there is no programme.
    promised : Programme, optional
        Moves from the state on that keep their times. They take every load in the line, and
        all that they let enter, out of it, and break no rule; what is ordered comes beside
        them, and a cycle is joined when they are over.
    lost : sequence of int
        Loads of the state that the promised programme, a recovery, gives up.
    time_limit : float, optional
        Seconds of search, 10 by default; the best programme found by then comes back with
        its gap. An effort without one ends with a proof, or where nothing better was found
        for long.
    workers : int, optional
        Search threads, by default one per core.
    seed : int
        Same seed and one worker give the same programme, unless the time limit cuts in.
    on_progress : callable, optional
        Called with a :class:`Progress` while the search runs; the finish stands where
        other searches have the cycle time.
    effort : Effort, optional
        All of these in one, and a way to stop; instead of them.

    Raises
    ------
    InputError
        When orders, state, cycle, promise or a limit make no sense, or there is nothing to do.
    Refused
        When the cycle breaks a rule of the line.
    ProgrammeRefused
        When what is promised breaks a rule; or the independent checker refuses the programme
        found: please report that.

    Examples
    --------
    >>> import hoistopt
    >>> from hoistopt import Order
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> answer = hoistopt.plan(problem, [Order("Cases", count=2)])
    >>> len(answer.programme), sorted(answer.replay.out)
    (10, [1, 2])
    >>> cycle = hoistopt.solve(problem).schedule
    >>> hoistopt.plan(problem, to=cycle).programme.repeats.every == cycle.cycle
    True
    """
    effort = effort_of(
        effort,
        time_limit=time_limit,
        workers=workers,
        seed=seed,
        on_progress=on_progress,
        usual_limit=USUAL_LIMIT,
    )
    clock = Clock(effort)
    begins = LineState() if state is None else state
    check_state(problem, begins)
    begins = begins.numbered()
    check_orders(problem, orders)
    _check(loads_out, recover=recover, promised=promised, lost=lost)
    promise = None if promised is None else promise_of(problem, promised, begins, lost)
    if to is not None and begins.out_of_service:
        raise InputError(
            "the line empty in the end, as the state has a hoist out of service",
            field="to",
            value="a cycle",
            way_out="A cycle is joined with all hoists; or with a problem file of those that are "
            "left.",
        )
    if to is not None:
        rescue = recover and not begins.empty
        asked = Asked(loads_out, orders, (), in_order, rescue, promise, tuple(lost))
        joined = into_cycle(problem, to, begins, clock, asked)
        # The cycle can wait until the line has run out, so a conflict is one of running out.
        stuck = joined.status == "infeasible" and not begins.empty and not rescue and not promised
        return in_conflict(problem, begins, orders, clock, joined.reason) if stuck else joined
    try:
        instance = build_finite(
            problem,
            begins,
            orders,
            in_order=in_order,
            overdue=True,
            promise=promise,
            clock=clock,
        )
    except InfeasibleError as error:
        return without_programme(problem, "infeasible", clock, f"{error}.")
    except OutOfTime:
        return without_programme(problem, "unknown", clock)

    tell = teller(instance, clock)

    @cache
    def starts() -> list[Timing]:
        known = run_out(problem, instance, begins)
        base = known[0] if known else None
        return [*known, *from_cycle(problem, instance, begins, orders, clock, base, lost)]

    # Where nothing need be lost a recovery is the plain question, with all the time there is.
    if recover and not nothing_lost(instance, clock, starts):
        return recovered(problem, begins, orders, instance, clock, tell)
    proved = instance.needed is instance
    if any(overdue(instance, load) for load in instance.loads):
        return in_conflict(problem, begins, orders, clock, proved=proved)

    if instance.several is not None:
        starts()  # before others take the time that a cycle needs
    found = least_finish(
        instance,
        clock,
        tell,
        starts=starts,
        paces=lambda: paces(problem, instance, orders, clock),
    )
    if recover and found.timing is None:
        return recovered(problem, begins, orders, instance, clock, tell)
    if found.status == "infeasible" and promise is not None:
        return without_programme(problem, "infeasible", clock, NO_WAY_BESIDE)
    if found.status == "infeasible":
        return in_conflict(problem, begins, orders, clock, proved=proved)
    if found.timing is None:
        return without_programme(problem, found.status, clock)
    found = replace(found, timing=with_room(instance, found.timing, clock))
    names = order_names(instance, orders)
    answer = planned(problem, instance, begins, names, found, clock, lost)
    if recover:
        return replace(answer, recovery=NOTHING_LOST)
    return answer if promise is None else replace(answer, promised=tuple(sorted(promise.moves)))


def _check(
    loads_out: int, *, recover: bool, promised: Programme | None, lost: Sequence[int]
) -> None:
    if recover and promised is not None:
        raise InputError(
            "no promised programme, as it says already which loads are lost",
            field="recover",
            value=recover,
        )
    if lost and promised is None:
        raise InputError("a promised programme that gives them up", field="lost", value=lost[0])
    if isinstance(loads_out, bool) or not isinstance(loads_out, int) or loads_out < 1:
        raise InputError("a whole number of at least 1", field="loads_out", value=loads_out)
