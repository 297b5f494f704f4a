"""How late a step may be: the one place that decides what the table states.

Latest start and alarm limit are those of :mod:`hoistopt.margin.slack`, worked out on
the schedule in whole units and on windows in whole units.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..checker import Replay
from ..margin.slack import slack_limits


@dataclass(frozen=True)
class Limits:
    """Starts of one step in ticks, counted from the start of the step's own cycle.

    Attributes
    ----------
    latest : int
        The planned start may be that late for good, all others as planned.
    alarm : int or None
        Started once that late, no load exceeds a maximum, then or later, if the moves
        after it keep their order, wait for the least dwell and start when due. None:
        however late it is, none does.
    """

    latest: int
    alarm: int | None


def limits_of(seen: Replay) -> list[Limits]:
    """The limits of every step of a schedule the checker accepted, in order."""
    return [
        Limits(
            latest=move.start + move.for_good,
            alarm=None if move.alone is None else move.start + move.alone,
        )
        for move in slack_limits(seen.problem, seen.schedule, seen).moves
    ]
