"""Loads that wait are placed among those that are promised, which are not touched."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ..base.clock import Clock, OutOfTime
from ..base.effort import Effort
from ..base.errors import InfeasibleError
from ..instance.build_finite import build_finite
from ..problem import Problem
from ..schedule import LineState, Order, Programme
from ..schedule.orders import check_orders
from ..solver.finite import Programmed, add_loads, goes, least_finish, lower_bound
from .plan_result import Plan
from .planned import NO_WAY_BESIDE, order_names, planned, teller, without_programme
from .promised import promise_of

SEARCH = 5.0
"""Most seconds of search where loads placed one after another leave several hoists no ways."""


def place_next(
    problem: Problem,
    promised: Programme,
    orders: Sequence[Order],
    state: LineState | None = None,
    *,
    in_order: bool = False,
    lost: Sequence[int] = (),
    effort: Effort | None = None,
) -> Plan:
    """Place waiting loads one after another, each out as early as can be, moving nothing else.

    What is promised keeps its times. Of the loads that wait the one that is out first among
    them comes next, or the next one of `orders`; each is placed exactly as early as the
    others leave room for, so the answer for the first of them is the best there is. It
    takes no search, and is there at once. Several hoists may find no ways so: then all are
    searched for, for a few seconds at the most.

    Parameters
    ----------
    problem : Problem
        The line and its recipes.
    promised : Programme
        Moves from the state on that take every load in the line, and all that it lets
        enter, out of it; they break no rule. Their times are multiples of the tick.
    orders : sequence of Order
        Loads that wait.
    state : LineState, optional
        What stands where when the programme begins; by default the line is empty.
    in_order : bool
        Whether the waiting loads enter in the order of `orders`.
    lost : sequence of int
        Loads of the state that the promised programme, a recovery, gives up.
    effort : Effort, optional
        Workers, seed, progress and a way to stop. Its time limit is one of the search for
        several hoists, where it is less than the few seconds.

    Returns
    -------
    Plan
        With status "feasible": what is promised and the loads that waited, their numbers
        the next ones. Its bound holds for programmes that may move what is promised. Where a
        stop or the time limit cuts in, the best programme found by then, or the status
        "unknown" where there is none.

    Raises
    ------
    InputError
        When orders, state or programme make no sense, or what is promised leaves loads in
        the line.
    ProgrammeRefused
        When what is promised breaks a rule.

    Examples
    --------
    >>> import hoistopt
    >>> from hoistopt import Order
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> promised = hoistopt.plan(problem, [Order("Cases", count=2)]).programme
    >>> answer = hoistopt.place_next(problem, promised, [Order("Cases")])
    >>> sorted(answer.replay.out)
    [1, 2, 3]
    """
    effort = Effort() if effort is None else effort
    clock = Clock(replace(effort, time_limit=None))
    begins = (LineState() if state is None else state).numbered()
    promise = promise_of(problem, promised, begins, lost)
    check_orders(problem, orders)
    try:
        instance = build_finite(problem, begins, orders, promise=promise, clock=clock)
    except InfeasibleError as error:
        return without_programme(problem, "infeasible", clock, f"{error}.")
    except OutOfTime:
        return without_programme(problem, "unknown", clock)
    waiting = [n for n, load in enumerate(instance.loads) if not instance.is_promised(load)]
    timing = add_loads(instance, {}, waiting, in_order=in_order)
    if timing is None:
        return without_programme(problem, "infeasible", clock, NO_WAY_BESIDE)
    found, at_once = Programmed("feasible", timing, lower_bound(instance)), True
    if not goes(instance, timing, clock, first=True):
        part = clock.part(min(SEARCH, effort.time_limit or SEARCH))
        found, at_once = least_finish(instance, part, teller(instance, clock)), False
    if found.timing is None:
        reason = NO_WAY_BESIDE if found.status == "infeasible" else None
        return without_programme(problem, found.status, clock, reason)
    names = order_names(instance, orders)
    answer = planned(problem, instance, begins, names, found, clock, lost)
    return replace(answer, promised=tuple(sorted(promise.moves)), at_once=at_once)
