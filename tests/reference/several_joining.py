"""Two hoists into a cycle by brute force: all that they may do before, tick by tick.

For the small lines of :mod:`.several`, in whole numbers. What loads and hoists do is followed as in
:mod:`.several_once`, with as many loads at the load station as anybody wants. At every tick it is
tried whether from then on the moves of the cycle alone can be made, over and over, until the line
and all positions that the hoists may have are again what they were a cycle before.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from .several import TwoHoists
from .several_once import Doing, Load, Mask, Move, _begun, _tick_on, _Track

MOST_CYCLES = 12
WAITING = Load(0, "In", 0)
"""The next load at the load station."""
Now = dict[Doing, Mask]


class CycleMove(NamedTuple):
    """A move of the cycle: its time in it, the stage it leaves, its hoist, 0 or 1."""

    start: int
    stage: int
    hoist: int
    source: str
    target: str


def soonest_joined(
    line: TwoHoists,
    cycle: Sequence[CycleMove],
    every: int,
    most: int,
    standing: Sequence[tuple[int, str, int]] = (),
    begins: tuple[int, int] | None = None,
) -> int | None:
    """The least time from which on all moves are those of the cycle; None: above `most`.

    Parameters
    ----------
    cycle : sequence of CycleMove
        Their targets are as brute force names them.
    every : int
        The cycle time.
    most : int
        Ticks that are looked at.
    standing, begins
        As for :func:`.several_once.least_finish`.
    """
    track = _Track(line)
    mask = track.clear.copy()
    if begins is not None:
        at = tuple(position - track.first for position in begins)
        mask &= False
        mask[at] = track.clear[at]
    inside = [Load(stage, tank, stood) for stage, tank, stood in standing]
    now: Now = {_doing([*inside, WAITING], (None, None)): mask}
    origins = sorted({move.start for move in cycle})
    for tick in range(most + 1):
        for doing, where in now.items():
            if any(_goes_on(track, doing, where, cycle, every, origin) for origin in origins):
                return tick
        after: Now = {}
        for doing, at_once in now.items():
            for begun, where in _begun(track, doing, at_once):
                onward = _tick_on(track, _supplied(begun), where)
                if onward is not None:
                    new, there = onward
                    after[new] = there | after[new] if new in after else there
        now = after
    return None


def _doing(loads: Sequence[Load], hoists: tuple[Move | None, Move | None]) -> Doing:
    return Doing(tuple(sorted(loads, key=str)), hoists)


def _supplied(doing: Doing) -> Doing:
    """With a load at the load station again, where the last one has been lifted."""
    if WAITING in doing.loads:
        return doing
    return _doing([*doing.loads, WAITING], doing.hoists)


def _goes_on(
    track: _Track,
    doing: Doing,
    where: Mask,
    cycle: Sequence[CycleMove],
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
                begun = _made(track, doing, where, move)
                if begun is None:
                    return False
                doing, where = begun
        onward = _tick_on(track, doing, where)
        if onward is None:
            return False
        doing, where = onward
    raise AssertionError("a cycle that does not come back to the same state")


def _made(track: _Track, doing: Doing, where: Mask, move: CycleMove) -> tuple[Doing, Mask] | None:
    """A move of the cycle begun; None where there is no load for it, or the hoist is not there."""
    low, high = (0, 0) if not move.stage else track.line.stages[move.stage - 1][1:]
    load = next(
        (one for one in doing.loads if (one.made, one.place) == (move.stage, move.source)), None
    )
    there = where & track.only(move.hoist, track.at[move.source])
    if load is None or not low <= load.stood <= high or not there.any():
        return None
    if doing.hoists[move.hoist] is not None:
        return None
    loads = [one for one in doing.loads if one is not load]
    loads.append(Load(move.stage + 1, move.hoist, 0))
    begun = Move(move.source, move.target, 0)
    hoists = (begun, doing.hoists[1]) if move.hoist == 0 else (doing.hoists[0], begun)
    return _supplied(_doing(loads, hoists)), there
