"""Two hoists in absolute time by brute force: all that they may do, tick by tick.

For the small lines of :mod:`.several`, in whole numbers, top speed 1 at once. What the loads and
the hoists are doing is followed from tick to tick with all pairs of positions that the hoists may
have then; at every tick any idle hoist may lift any load that is where it stands.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from .several import TwoHoists

Mask = np.ndarray
"""Of two hoists: whether the left one may be here and the right one there."""
OUT = "Out"


class Load(NamedTuple):
    """A load: moves made, and where it stands since when; a hoist's number while it is carried.

    Before it enters it stands at the load station, and `stood` is below 0 until its release. A
    load that is lost may stand longer than a maximum.
    """

    made: int
    place: str | int
    stood: int
    lost: bool = False


class Move(NamedTuple):
    """What a hoist is doing: from where to where, and for how long it has done so."""

    source: str
    target: str
    since: int


class Doing(NamedTuple):
    """What all loads and both hoists are doing; tanks just left are taken for this tick yet.

    `over` is for how long loads that are lost have stood too long in all.
    """

    loads: tuple[Load, ...]
    hoists: tuple[Move | None, Move | None]
    over: int = 0


class Given(NamedTuple):
    """A move whose time is given: the stage that it leaves, its hoist, 0 or 1, and its ends."""

    start: int
    stage: int
    hoist: int
    source: str
    target: str


def least_finish(
    line: TwoHoists,
    releases: Sequence[int],
    most: int,
    standing: Sequence[tuple[int, str, int]] = (),
    begins: tuple[int, int] | None = None,
    given: Sequence[Given] = (),
) -> int | None:
    """The least time at which all loads are out; None where it is above `most`.

    Parameters
    ----------
    releases : sequence of int
        Of the loads that are to enter, one each.
    most : int
        Ticks that are looked at.
    standing : sequence of (int, str, int)
        Loads in the line: stage, tank, and for how long it has stood there.
    begins : (int, int), optional
        Positions of both hoists at first; by default anywhere.
    given : sequence of Given
        All moves of some more loads that enter, at their times.
    """
    inside = [Load(stage, tank, stood) for stage, tank, stood in standing]
    entering = [Load(0, "In", -release) for release in releases]
    track = Track(line)
    now = {Doing(tuple(sorted(inside + entering, key=str)), (None, None)): track.first_mask(begins)}
    last = max((move.start for move in given), default=-1)
    for tick in range(most + 1):
        if tick > last and any(not doing.loads for doing in now):
            return tick
        now = dict(_given_begun(track, given, tick, now))
        now = tick_later(track, now, _kept(track, given, tick))
    return None


def tick_later(
    track: Track,
    now: dict[Doing, Mask],
    kept: frozenset[str] = frozenset(),
    supplied: Load | None = None,
) -> dict[Doing, Mask]:
    """All that may be a tick later, each with where the hoists may be then.

    Parameters
    ----------
    kept : frozenset of str
        Tanks whose loads are not lifted but by moves that are given.
    supplied : Load, optional
        One that is always there.
    """
    after: dict[Doing, Mask] = {}
    for doing, at_once in now.items():
        for begun, where in _begun(track, doing, at_once, kept):
            onward = tick_on(track, with_load(begun, supplied), where)
            if onward is None:
                continue
            new, there = onward
            after[new] = there | after[new] if new in after else there
    return after


class Track:
    """Where the hoists may be, and what they need to know of the line.

    The hoist `out` is out of service: it stays where it is.
    """

    def __init__(self, line: TwoHoists, out: int | None = None) -> None:
        self.line, self.out = line, out
        self.first = min(line.positions.values()) - line.beyond[0]
        last = max(line.positions.values()) + line.beyond[1]
        self.grid = np.arange(last - self.first + 1)
        self.clear = self.grid[None, :] - self.grid[:, None] >= line.clearance
        self.at = {name: position - self.first for name, position in line.positions.items()}

    def first_mask(self, begins: tuple[int, int] | None) -> Mask:
        """Where both hoists may be at first: anywhere, or at two positions."""
        if begins is None:
            return self.clear.copy()
        left, right = (position - self.first for position in begins)
        return self.clear & self.only(0, left) & self.only(1, right)

    def only(self, hoist: int, position: int) -> Mask:
        """Where one hoist is at a position."""
        here = self.grid == position
        return here[:, None] if hoist == 0 else here[None, :]

    def place(self, move: Move) -> int:
        """Where the hoist is that makes a move."""
        here, there = self.at[move.source], self.at[move.target]
        travelled = min(max(0, move.since - self.line.lift), abs(there - here))
        return here + (travelled if there > here else -travelled)

    def lasts(self, move: Move) -> int:
        way = abs(self.at[move.target] - self.at[move.source])
        return self.line.lift + way + self.line.lower

    def overstays(self, load: Load) -> bool:
        """Whether a load has stood longer than its maximum where it stands."""
        inside = isinstance(load.place, str) and load.made > 0
        return inside and load.stood > self.line.stages[load.made - 1][2]

    def goals(self, made: int) -> tuple[str, ...]:
        return (OUT,) if made == len(self.line.stages) else self.line.stages[made][0]


def with_load(doing: Doing, load: Load | None) -> Doing:
    """The same with a load that is always there, where it has been lifted."""
    if load is None or load in doing.loads:
        return doing
    return doing._replace(loads=tuple(sorted((*doing.loads, load), key=str)))


def _kept(track: Track, given: Sequence[Given], tick: int) -> frozenset[str]:
    """The tanks in which loads stand whose moves are given."""
    came = {
        (move.start + track.lasts(Move(move.source, move.target, 0)), move.target) for move in given
    }
    tanks = {tank for _, tank in came}
    return frozenset(
        tank
        for tank in tanks
        if max((time for time, name in came if name == tank and time <= tick), default=-1)
        > max((m.start for m in given if m.source == tank and m.start < tick), default=-1)
    )


def _given_begun(
    track: Track, given: Sequence[Given], tick: int, now: dict[Doing, Mask]
) -> Iterator[tuple[Doing, Mask]]:
    """What goes on, with the moves given for a tick begun; nothing where they cannot be."""
    for doing, mask in now.items():
        made: tuple[Doing, Mask] | None = (doing, mask)
        for move in given:
            if move.start != tick or made is None:
                continue
            if not move.stage:
                entered = made[0]._replace(loads=(*made[0].loads, Load(0, move.source, 0)))
                made = entered, made[1]
            made = begun_move(track, *made, move)
        if made is not None:
            yield made


def begun_move(track: Track, doing: Doing, where: Mask, move: Given) -> tuple[Doing, Mask] | None:
    """A given move begun; None where there is no load for it, or the hoist is not there."""
    low, high = (0, 0) if not move.stage else track.line.stages[move.stage - 1][1:]
    fitting = (
        one
        for one in doing.loads
        if (one.made, one.place) == (move.stage, move.source) and low <= one.stood <= high
    )
    load = next(fitting, None)
    there = where & track.only(move.hoist, track.at[move.source])
    if load is None or not there.any() or doing.hoists[move.hoist] is not None:
        return None
    loads = [one for one in doing.loads if one is not load]
    loads.append(Load(move.stage + 1, move.hoist, 0))
    begun = Move(move.source, move.target, 0)
    hoists = (begun, doing.hoists[1]) if move.hoist == 0 else (doing.hoists[0], begun)
    return Doing(tuple(sorted(loads, key=str)), hoists, doing.over), there


def _begun(
    track: Track, doing: Doing, mask: Mask, kept: frozenset[str]
) -> Iterator[tuple[Doing, Mask]]:
    """Everything that may begin in a tick: nothing, or one lift or two, but for loads kept."""
    yield doing, mask
    for hoist in (0, 1):
        if doing.hoists[hoist] is not None or hoist == track.out:
            continue
        for begun, where in _lifts(track, doing, mask, hoist, kept):
            yield begun, where
            if hoist == 0 and doing.hoists[1] is None and track.out is None:
                yield from _lifts(track, begun, where, 1, kept)


def _lifts(
    track: Track, doing: Doing, mask: Mask, hoist: int, kept: frozenset[str]
) -> Iterator[tuple[Doing, Mask]]:
    for number, load in enumerate(doing.loads):
        if isinstance(load.place, int) or load.place in kept:
            continue
        low, high = (0, load.stood) if not load.made else track.line.stages[load.made - 1][1:]
        where = mask & track.only(hoist, track.at[load.place])
        if load.stood < low or not (load.lost or load.stood <= high) or not where.any():
            continue
        for target in track.goals(load.made):
            if target == load.place:
                continue
            move = Move(load.place, target, 0)
            loads = list(doing.loads)
            loads[number] = Load(load.made + 1, hoist, 0, load.lost)
            hoists = (move, doing.hoists[1]) if hoist == 0 else (doing.hoists[0], move)
            yield Doing(tuple(sorted(loads, key=str)), hoists, doing.over), where


def tick_on(track: Track, doing: Doing, mask: Mask) -> tuple[Doing, Mask] | None:
    """A tick later; None where a load stands too long, two share a tank, or hoists meet."""
    where = _spread(mask, track.out) & track.clear
    loads = [load._replace(stood=load.stood + 1) for load in doing.loads]
    hoists: list[Move | None] = []
    for hoist, before in enumerate(doing.hoists):
        if before is None:
            hoists.append(None)
            continue
        move = before._replace(since=before.since + 1)
        where = where & track.only(hoist, track.place(move))
        if move.since < track.lasts(move):
            hoists.append(move)
            continue
        hoists.append(None)
        carried = next(load for load in loads if load.place == hoist)
        loads.remove(carried)
        if move.target == OUT:
            continue
        if any(load.place == move.target for load in loads):
            return None
        loads.append(Load(carried.made, move.target, 0, carried.lost))
    late = [load for load in loads if track.overstays(load)]
    if not where.any() or not all(load.lost for load in late):
        return None
    waiting = [load._replace(stood=min(load.stood, 0)) if not load.made else load for load in loads]
    over = doing.over + len(late)
    return Doing(tuple(sorted(waiting, key=str)), (hoists[0], hoists[1]), over), where


def _spread(mask: Mask, out: int | None) -> Mask:
    """Where both hoists may be a tick later: each at most one position on, but one out of
    service."""
    wide = mask.copy()
    if out != 0:
        wide[1:] |= mask[:-1]
        wide[:-1] |= mask[1:]
    if out == 1:
        return wide
    both = wide.copy()
    both[:, 1:] |= wide[:, :-1]
    both[:, :-1] |= wide[:, 1:]
    return both
