"""Of schedules of one cycle time the one with the most margin."""

from __future__ import annotations

from fractions import Fraction

from ..base.clock import Clock
from ..base.effort import Effort
from ..checker import Replay, accepted
from ..graph.from_replay import timed_plan
from ..graph.spread_margin import spread_margin
from ..instance import Instance
from ..problem import Problem
from ..schedule import Schedule
from ..solver.lexicographic import limited, settle
from .figures import tightest_float, tightest_slack

OTHER_ORDERS = 2.0
"""Most seconds for other orders of moves of the same cycle time."""

LONGEST_SPREAD = 5.0
"""Most seconds to give one order new times: no line of up to some hundred moves takes as long."""


def most_margin(
    problem: Problem,
    instance: Instance,
    schedule: Schedule,
    clock: Clock | None = None,
    seen: Replay | None = None,
) -> tuple[Schedule, Replay]:
    """A schedule no longer than one that is given, with the most margin.

    Float comes first, then slack, then dwells near the nominal ones; see
    :func:`~hoistopt.graph.spread_margin.spread_margin`.

    Parameters
    ----------
    problem, instance : Problem, Instance
        The line, and its instance of the degree of the schedule.
    schedule : Schedule
        On the grid of the instance.
    clock : Clock, optional
        Time to look for other orders of moves; without one only the order of the schedule
        itself is given new times, which takes milliseconds.
    seen : Replay, optional
        A replay of the schedule, if there is one already.

    Returns
    -------
    Schedule and Replay
        The checker has accepted it.
    """
    found = _spread(problem, instance, schedule, seen)
    if clock is None:
        return found
    each = OTHER_ORDERS / 2 if clock.left is None else min(OTHER_ORDERS, clock.left) / 2
    settled = settle(
        limited(instance, schedule.cycle),
        ("float", "slack") if any(stay.most is not None for stay in instance.stays) else ("float",),
        clock,
        each=each,
        known=found[0],
    )
    if settled.schedule is None:
        return found
    other = _spread(problem, instance, settled.schedule, found[1])
    return max(found, other, key=lambda one: _rank(one[1]))


def _spread(
    problem: Problem, instance: Instance, schedule: Schedule, seen: Replay | None
) -> tuple[Schedule, Replay]:
    spread = spread_margin(problem, instance, schedule, Clock(Effort(time_limit=LONGEST_SPREAD)))
    return spread, accepted(problem, spread, seen, made_here=True)


def _rank(seen: Replay) -> tuple[Fraction, Fraction]:
    plan = timed_plan(seen)
    slack = tightest_slack(plan)
    return tightest_float(plan).time, Fraction(0) if slack is None else slack.time
