"""How late the moves of a programme may start: once, and as planned.

A move that starts late makes others late along the paths of the event graph, less the slack
of each path: :mod:`..graph.buffers`.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..checker import ProgrammeReplay
from ..graph.buffers import LateOnce, least_of
from ..graph.from_programme import timed_programme


@dataclass(frozen=True, slots=True)
class OnceLimit:
    """How late one move of a programme may start, in grid steps of the checker's clock.

    Attributes
    ----------
    later : int or None
        It may be planned that much later, all other starts as they are; None: however late.
    alone : int or None
        Started once that late, no load exceeds a maximum, if the moves after it keep their
        order, wait for the minimum dwell and start when due; None: however late it is.
    set_down : int or None
        The same of loads set down after its planned start.
    reached : tuple of (int, int)
        Moves that a late start makes late, each with the lateness up to which it does not.
    """

    later: int | None
    alone: int | None
    set_down: int | None
    reached: tuple[tuple[int, int], ...]


def once_limits(seen: ProgrammeReplay) -> list[OnceLimit]:
    """The limits of every move of a programme the checker accepted, in order of time."""
    plan = timed_programme(seen)
    late = LateOnce(plan.starts, plan.waits, plan.dwells, plan.left_out)
    return [_limit(late, number) for number in range(plan.moves)]


def _limit(late: LateOnce, number: int) -> OnceLimit:
    buffers = late.buffers(number)
    exceeded = list(late.exceeded(buffers))
    return OnceLimit(
        later=late.later((number,)),
        alone=least_of(above for above, _ in exceeded),
        set_down=least_of(
            above
            for above, dwell in exceeded
            if dwell.arrival is not None and dwell.arrival >= number
        ),
        reached=tuple(sorted((move, to) for move, to in buffers.items() if move != number)),
    )
