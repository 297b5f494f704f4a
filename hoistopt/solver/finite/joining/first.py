"""First programmes that go over into a cycle: the line runs out, then fills."""

from __future__ import annotations

from ....base.clock import Clock
from ..placing.board import Board
from ..times import Timing, value
from .candidate import Candidate, Fill, Value
from .placing import Ways, filled
from .run_out_and_fill import with_fill

Found = tuple[Value, Candidate, Timing]
"""A programme that was placed: its value, of which candidate it is, and its times."""


def found_of(one: Candidate, board: Board) -> Found:
    """What was placed on a board, and its value."""
    timing = board.timing()
    return value(board.instance, timing), one, timing


def filled_at_pace(leaving: list[Candidate], cleared: Ways, clock: Clock) -> list[Found]:
    """The line filled at the times of the cycle, once it has run out; the best last."""
    found: list[Found] = []
    for one in leaving:
        if clock.over and found:
            break
        if (instance := one.instance) is None or (board := filled(instance, cleared)) is None:
            continue
        found.append(found_of(one, board))
        if not cleared:
            break
    return sorted(found, key=lambda each: each[0], reverse=True)


def beside(leaving: list[Candidate], cleared: Ways, clock: Clock) -> list[Found]:
    """Loads placed beside those that go out, the cycle joined as soon as these are out."""
    found: list[Found] = []
    out = max([0, *(way[-1][0] + way[-1][1].duration for way in cleared)])
    for one in leaving if cleared else []:
        if clock.over:
            break
        if one.closed or (instance := one.instance) is None:
            continue
        board = with_fill(instance, max(one.bound[1], out + instance.reach), cleared, {})
        if board is not None:
            found.append(found_of(one, board))
    return found


def fill_forward(one: Candidate, fill: Fill, at: int, cleared: Ways, clock: Clock) -> list[Found]:
    """The line filled as is known of an empty one, moved forward as one piece; the best last."""
    instance, low = one.instance, one.bound[1]
    assert instance is not None
    found: list[Found] = []
    at -= 1
    step = max(1, (at - low) // 2)
    while step and not clock.over:
        board = None if at < low else with_fill(instance, at, cleared, fill)
        if board is not None:
            found.append(found_of(one, board))
        else:
            at += step if found else 0
            step //= 2
        at -= step
    return found
