"""How late the moves of a programme may start: once, and as planned.

A move that starts late makes others late along the paths of the event graph, less the slack
of each path, as in :mod:`..graph.lateness`; as a programme is made once, every path is walked
in one pass over the moves in order of time.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..checker import ProgrammeReplay
from ..graph.arc import Arc
from ..graph.from_programme import OnceDwell, TimedProgramme, timed_programme


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
    breaks : OnceDwell or None
        The maximum that is exceeded first.
    reached : tuple of (int, int)
        Moves that a late start makes late, each with the lateness up to which it does not.
    """

    later: int | None
    alone: int | None
    set_down: int | None
    breaks: OnceDwell | None
    reached: tuple[tuple[int, int], ...]


def once_limits(seen: ProgrammeReplay) -> list[OnceLimit]:
    """The limits of every move of a programme the checker accepted, in order of time."""
    plan = timed_programme(seen)
    into: list[list[tuple[int, int]]] = [[] for _ in plan.starts]
    furthest = list(range(len(plan.starts)))
    for arc in plan.waits:
        if arc.tail < plan.moves:
            into[arc.head].append((arc.tail, plan.slack(arc)))
            furthest[arc.tail] = max(furthest[arc.tail], arc.head)
    leaving: dict[int, list[OnceDwell]] = {}
    for dwell in plan.dwells:
        leaving.setdefault(dwell.departure, []).append(dwell)
    return [_limit(plan, number, into, furthest, leaving) for number in range(plan.moves)]


def _limit(
    plan: TimedProgramme,
    number: int,
    into: list[list[tuple[int, int]]],
    furthest: list[int],
    leaving: dict[int, list[OnceDwell]],
) -> OnceLimit:
    buffers: dict[int, int] = {number: 0}
    alone: int | None = None
    set_down: int | None = None
    breaks: OnceDwell | None = None
    end, move = furthest[number], number
    while move < plan.moves and move <= end:
        if move > number:
            reached = [buffers[tail] + slack for tail, slack in into[move] if tail in buffers]
            if reached:
                buffers[move] = min(reached)
                end = max(end, furthest[move])
        if move in buffers:
            for dwell in leaving.get(move, ()):
                above = _exceeded_above(dwell, buffers)
                if above is None:
                    continue
                if alone is None or above < alone:
                    alone, breaks = above, dwell
                later = dwell.arrival is not None and dwell.arrival >= number
                if later and (set_down is None or above < set_down):
                    set_down = above
        move += 1
    del buffers[number]
    return OnceLimit(_later(plan, number), alone, set_down, breaks, tuple(buffers.items()))


def _exceeded_above(dwell: OnceDwell, buffers: dict[int, int]) -> int | None:
    """The lateness beyond which a dwell exceeds its maximum; None: no lateness does that."""
    if dwell.room is None:
        return None
    lifted = buffers[dwell.departure]
    brought = None if dwell.arrival is None else buffers.get(dwell.arrival)
    # Late by d, the load is lifted d - lifted late and was brought d - brought late.
    if brought is not None and brought - lifted <= dwell.room:
        return None
    return lifted + dwell.room


def _later(plan: TimedProgramme, number: int) -> int | None:
    def from_here(arc: Arc) -> bool:
        return arc.tail == number

    limits = [plan.slack(arc) for arc in (*plan.waits, *plan.left_out) if from_here(arc)]
    limits += [d.room for d in plan.dwells if d.departure == number and d.room is not None]
    return min(limits, default=None)
