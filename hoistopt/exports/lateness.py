"""How late a step may be: the one place that decides what the table states.

Latest start and alarm limit are those of :mod:`hoistopt.margin.slack`; what the cycle
clock has to give way to comes from the same event graph. All of it is worked out on the
schedule in whole units and on windows in whole units.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..checker import Replay
from ..graph.from_replay import timed_plan
from ..graph.lateness import spread
from ..graph.timed_plan import TimedPlan
from ..margin.slack import MoveSlack, slack_limits


@dataclass(frozen=True)
class Limits:
    """Starts of one step in ticks, counted from the start of the step's own cycle.

    Attributes
    ----------
    latest : int
        The planned start may be that late for good, all others as planned.
    alarm : int or None
        Started once that late, no load exceeds a maximum, then or later, if the moves
        after it keep their order, wait for the minimum dwell and start when due. None:
        however late it is, none does.
    clock : int
        Started that late, no load exceeds a maximum, with a quarter of the alarm limit's
        lateness to spare, and everything a cycle or more later is on time again.
    lasting : int or None
        Started that late, no load that is set down after the planned start exceeds a
        maximum, whatever those do that stand by then. None: however late it is.
    """

    latest: int
    alarm: int | None
    clock: int
    lasting: int | None


def limits_of(seen: Replay) -> list[Limits]:
    """The limits of every step of a schedule the checker accepted, in order."""
    plan = timed_plan(seen)
    moves = slack_limits(seen.problem, seen.schedule, seen).moves
    return [_limits(plan, move) for move in moves]


def _limits(plan: TimedPlan, move: MoveSlack) -> Limits:
    alone = move.alone
    within = move.slips if alone is None else min(move.slips, alone - alone // 4)
    later = spread(plan, move.step - 1, standing=False).breaks
    return Limits(
        latest=move.start + move.for_good,
        alarm=None if alone is None else move.start + alone,
        clock=move.start + within,
        lasting=None if later is None else move.start + plan.ticks(later.above),
    )
