"""How several hoists give way to one another in a programme, which is made once.

As in a cycle (:mod:`hoistopt.solver.several.travels`), but with a beginning and an end: where
the state does not say where a hoist is, it may stand at first wherever it is out of the way,
and after its last move it goes where the others want it. In a cycle that is joined the hoists go
the ways of that cycle, but where those of what was before are in the way; that is over after a
few cycles.

There, positions in a move count to the instant, as a cycle that was drawn together by exact times
leaves less room than is enough in general.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction
from functools import partial
from typing import Any

from ...base.clock import Clock, OutOfTime
from ...instance import Route, Several
from ...instance.finite import FiniteInstance
from ...instance.join import Onward
from ...instance.several import Path
from ...schedule import Travel
from ..several.asked import Legs, Own
from ..several.gap import Gap
from ..several.travels import Owned, Ways, from_either_side
from ..several.trip import Stretch
from .times import Timing, joined

AHEAD = (Fraction(0), Fraction(1, 2), Fraction(1), Fraction(2))
"""How much of what is asked of a hoist later it meets from the first on, where the state does
not say where it is; in parts of the time that it takes to gain speed."""

GRACE = 5.0
"""Seconds that are looked for ways beyond the time, where there is no other programme yet."""


def _nothing() -> None:
    """A check that never ends a search."""


def travels_once(
    instance: FiniteInstance, timing: Timing, check: Callable[[], None] = _nothing
) -> tuple[Travel, ...] | None:
    """The travels with which the hoists of a programme keep their distance.

    Parameters
    ----------
    instance : FiniteInstance
    timing : Timing
    check : callable, optional
        Called again and again meanwhile; raises :class:`.OutOfTime` to end it.

    Returns
    -------
    tuple of Travel or None
        Those that do not lead straight on at once, and first, at time 0, to where a hoist
        stands that does not begin where its first move does; None where no way was found. Of a
        cycle that is joined those of the first cycles, of which the last is as all later ones
        are: see :func:`cycles_told`.
    """
    several = instance.several
    if several is None:
        return ()
    moves: list[list[Own]] = [[] for _ in several.names]
    made = sorted(zip(timing.starts, timing.routes, strict=True), key=_start)
    if instance.join is not None:
        tied = instance.tied
        free = (move.index for move in instance.moves if move.index not in tied)
        made = sorted(((timing.starts[n], timing.routes[n]) for n in free), key=_start)
    for start, route in made:
        moves[route.hoist].append(_own(start, route))
    begins: list[list[Own]] = [[] for _ in several.names]
    for begin in instance.begins:
        begins[begin.hoist].append(Own(begin.path, Fraction(0), begin.free))
    if instance.join is None:
        return from_either_side(several, partial(_Once, check), begins, moves)
    onward, at = instance.join.onward, joined(instance, timing)
    assert onward is not None
    settled = max([Fraction(at), *(own.end for each in moves for own in each)]) + instance.reach
    cycles = cycles_told(instance, timing)
    for own, after in zip(moves, _in_cycle(onward, len(several), at, cycles + 1), strict=True):
        own += after
    found = from_either_side(several, partial(_IntoCycle, check, settled), begins, moves)
    if found is None:
        return None
    over = at + cycles * onward.every
    found = tuple(travel for travel in found if travel.start < over)
    again = (onward.every * (cycles - 1) + at + start for start, _, _ in onward.travels)
    last = sorted(zip(again, onward.travels, strict=True), key=_start)
    meant = [(time, several.names[hoist], to) for time, (_, hoist, to) in last]
    told = [(t.start, t.hoist, t.to) for t in found if t.start >= over - onward.every]
    return found if sorted(told) == sorted(meant) else None


def goes(
    instance: FiniteInstance, timing: Timing, clock: Clock | None = None, *, first: bool = False
) -> bool:
    """Whether hoists that share a track find ways; a timing without is no programme.

    Where the clock is over before that is known, it counts as none. A `first` programme is worth
    some seconds beyond the time, if no stop is asked for.
    """
    begun, grace = Clock(), GRACE if first else 0.0

    def check() -> None:
        assert clock is not None
        if clock.stopped or (clock.over and begun.elapsed >= grace):
            raise OutOfTime

    try:
        return travels_once(instance, timing, _nothing if clock is None else check) is not None
    except OutOfTime:
        return False


def cycles_told(instance: FiniteInstance, timing: Timing) -> int:
    """For how many cycles after the joining travels are told; in the last they are those of
    the cycle."""
    assert instance.join is not None and instance.join.onward is not None
    assert instance.several is not None
    free = (move.index for move in instance.moves if move.index not in instance.tied)
    over = max([0, *map(timing.end, free)]) - joined(instance, timing)
    every = instance.join.onward.every
    # A hoist that still gives way may make the next one do so in the cycle after.
    return 2 + len(instance.several) + max(0, over + instance.reach) // every


def _own(start: int, route: Route, onward: Legs | None = None) -> Own:
    assert route.path is not None
    return Own(route.path, Fraction(start), start + route.work, onward=onward)


def _in_cycle(onward: Onward, hoists: int, joined: int, cycles: int) -> Owned:
    """The moves of each hoist in some cycles, each with the travels after it."""
    found: Owned = [[] for _ in range(hoists)]
    for hoist in range(hoists):
        made = [(start, route) for start, route in onward.moves if route.hoist == hoist]
        stated = [(start, to) for start, by, to in onward.travels if by == hoist]
        for place, (start, route) in enumerate(made):
            later = made[place + 1][0] if place + 1 < len(made) else made[0][0] + onward.every
            legs = sorted(
                (time + turn, to)
                for time, to in stated
                for turn in (0, onward.every)
                if start <= time + turn < later
            )
            for cycle in range(cycles):
                at = joined + cycle * onward.every
                found[hoist].append(_own(at + start, route, [(at + t, to) for t, to in legs]))
        found[hoist].sort(key=_begin)
    return found


def _begin(own: Own) -> Fraction:
    return own.start


def _over(own: Own) -> Fraction:
    return own.end


def _start(made: tuple[Any, object]) -> Any:
    return made[0]


class _Once(Ways):
    """The ways of hoists whose moves are made once."""

    exact = True

    def __init__(
        self,
        check: Callable[[], None],
        several: Several,
        begins: list[list[Own]],
        moves: list[list[Own]],
    ) -> None:
        self.check = check
        super().__init__(
            several, [[*first, *each] for first, each in zip(begins, moves, strict=True)], 0
        )
        self.told = [bool(own) for own in begins]
        self.reach = self.span * max(several.slowness) + max(several.getting_up)
        ends = [own.end for each in self.moves for own in each]
        self.over = max(ends, default=Fraction(0)) + 2 * self.reach

    def all(self) -> tuple[Travel, ...] | None:
        busy = [hoist for hoist, own in enumerate(self.moves) if own]
        found: list[Travel] = []
        for hoist, name in enumerate(self.several.names):
            self_made = self._of(hoist) if busy and busy[0] <= hoist <= busy[-1] else ([], [])
            if self_made is None:
                return None
            legs, self.left = self_made
            found += [Travel(start, name, to) for start, to in legs]
        return tuple(sorted(found, key=lambda travel: (travel.start, travel.hoist)))

    def _of(self, hoist: int) -> tuple[list[tuple[Fraction, Fraction]], list[Stretch]] | None:
        """The travels of a hoist that have to be stated, and all that it does between moves."""
        if self.told[hoist]:
            return self._from(hoist, self.moves[hoist], [])
        for at in self._places(hoist):
            path = Path(((Fraction(0), at),) * 2, ((Fraction(0), at),) * 2)
            stands = Own(path, Fraction(0), Fraction(0))
            made = self._from(hoist, [stands, *self.moves[hoist]], [(Fraction(0), at)])
            if made is not None:
                return made
        return None

    def _from(
        self, hoist: int, own: Sequence[Own], first: list[tuple[Fraction, Fraction]]
    ) -> tuple[list[tuple[Fraction, Fraction]], list[Stretch]] | None:
        stated: list[tuple[Fraction, Fraction]] = []
        chosen: list[Stretch] = []
        for place, move in enumerate(own):
            self.check()
            after = own[place + 1] if place + 1 < len(own) else None
            gap = Gap(self, hoist, move, after, self.over if after is None else after.start)
            legs = self.legs(hoist, gap)
            if legs is None:
                return None
            chosen += gap.way(legs) or ()
            if move.onward is not None and legs == self.known(gap):
                stated += move.onward
            elif not place and first:
                # Where it stands goes without saying only where its first move begins.
                if legs or after is None or after.here != move.there:
                    stated += [*first, *legs]
            elif after is None or list(legs) not in ([], [(move.end, after.here)]):
                stated += legs
        return stated, chosen

    def legs(self, hoist: int, gap: Gap) -> Legs | None:
        """The travels of a hoist after a move."""
        del hoist
        return gap.legs()

    def known(self, gap: Gap) -> Legs:
        """The travels after a move of a cycle, in that cycle."""
        move, there = gap.move, gap.there
        straight = [] if there in (None, move.there) else [(move.end, there)]
        return [*(move.onward or straight)]

    def _places(self, hoist: int) -> Iterator[Fraction]:
        """Where a hoist may stand at first, what is best first."""
        own = self.moves[hoist]
        ahead = self.several.getting_up[hoist]
        found: dict[Fraction, None] = {}
        for share in AHEAD:
            times = (Fraction(0), share * ahead)
            lows = [line.at(time) for line in self.lows(hoist, *times) for time in times] + [
                stretch.at(stretch.since) for stretch in self.neighbour(*times)
            ]
            highs = [-line.at(time) for line in self.highs(hoist, *times) for time in times]
            low, high = max(lows, default=None), min(highs, default=None)
            if low is not None and high is not None and low > high:
                continue
            at = own[0].here if own else (low if low is not None else high)
            if at is None:
                continue
            at = at if low is None else max(at, low)
            found[at if high is None else min(at, high)] = None
        yield from found

    def near(self, hoist: int, since: Fraction, until: Fraction) -> Iterable[Own]:
        first, last = since - 2 * self.reach, until + 2 * self.reach
        own = self.moves[hoist]  # one after another: starts and ends both rise
        begin = bisect_left(own, first, key=_over)
        return own[begin : bisect_right(own, last, begin, key=_begin)]

    def repeated(
        self, begins: Fraction, ends: Fraction, since: Fraction, until: Fraction
    ) -> Iterator[Fraction]:
        if ends >= since and begins <= until:
            yield Fraction(0)


class _IntoCycle(_Once):
    """The ways of hoists that go over into a cycle.

    Parameters
    ----------
    settled : Fraction
        From when on nothing of what was before the cycle is in anybody's way.
    """

    def __init__(
        self,
        check: Callable[[], None],
        settled: Fraction,
        several: Several,
        begins: list[list[Own]],
        moves: list[list[Own]],
    ) -> None:
        super().__init__(check, several, begins, moves)
        self.settled = [settled] * len(several)

    def legs(self, hoist: int, gap: Gap) -> Legs | None:
        """Those of the cycle, where they are clear of all others."""
        if gap.move.onward is None:
            found = gap.legs()
        else:
            known = self.known(gap)
            if (
                gap.there is None
                or gap.move.end >= self.settled[hoist]
                or gap.clear(known, known=True)
            ):
                return known
            found = gap.legs()
        for other in range(hoist + 1, len(self.settled)):
            self.settled[other] = max(self.settled[other], gap.begins)
        return found
