"""Two hoists into a cycle by brute force: all that they may do before, tick by tick.

For the small lines of :mod:`.several`, in whole numbers. What loads and hoists do is followed as in
:mod:`.several_once`, with as many loads at the load station as anybody wants. At every tick it is
tried whether from then on the moves of the cycle alone can be made, over and over, until the line
and all positions that the hoists may have are again what they were a cycle before.
"""

from __future__ import annotations

from collections.abc import Sequence

from .several import TwoHoists
from .several_once import (
    Doing,
    Given,
    Load,
    Mask,
    Track,
    begun_move,
    tick_later,
    tick_on,
    with_load,
)

MOST_CYCLES = 12
WAITING = Load(0, "In", 0)
"""The next load at the load station."""
Now = dict[Doing, Mask]


def soonest_joined(
    line: TwoHoists,
    cycle: Sequence[Given],
    every: int,
    most: int,
    standing: Sequence[tuple[int, str, int]] = (),
    begins: tuple[int, int] | None = None,
) -> int | None:
    """The least time from which on all moves are those of the cycle; None: above `most`.

    Parameters
    ----------
    cycle : sequence of Given
        All moves of the cycle, at their times in it.
    every : int
        The cycle time.
    most : int
        Ticks that are looked at.
    standing, begins
        As for :func:`.several_once.least_finish`.
    """
    track = Track(line)
    inside = [Load(stage, tank, stood) for stage, tank, stood in standing]
    loads = tuple(sorted([*inside, WAITING], key=str))
    now: Now = {Doing(loads, (None, None)): track.first_mask(begins)}
    origins = sorted({move.start for move in cycle})
    for tick in range(most + 1):
        for doing, where in now.items():
            if any(_goes_on(track, doing, where, cycle, every, origin) for origin in origins):
                return tick
        now = tick_later(track, now, supplied=WAITING)
    return None


def _goes_on(
    track: Track,
    doing: Doing,
    where: Mask,
    cycle: Sequence[Given],
    every: int,
    origin: int,
) -> bool:
    """Whether the moves of the cycle can be made from a time of it on, for ever."""
    seen: tuple[Doing, bytes] | None = None
    for tick in range(MOST_CYCLES * every):
        if tick % every == 0:
            state = doing, where.tobytes()
            if state == seen:
                return True
            seen = state
        for move in cycle:
            if (move.start - origin - tick) % every == 0:
                begun = begun_move(track, doing, where, move)
                if begun is None:
                    return False
                doing, where = with_load(begun[0], WAITING), begun[1]
        onward = tick_on(track, doing, where)
        if onward is None:
            return False
        doing, where = onward
    raise AssertionError("a cycle that does not come back to the same state")
