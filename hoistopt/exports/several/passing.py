"""How two motions that come too near one another can be kept apart, from the safest way on.

The second of the two may set out once the first has arrived. Or it may set out before that, up
to a place short of all of the other's way, and go on from there, without stopping if the other
has arrived by the time it would have to brake. Or, where the first leads away from it, it need
not wait for the arrival: it may follow a fixed time after the first has left, from that place or,
where that is sooner, from its start.

A hoist that is told to go on while it brakes is ahead of one that starts from rest at that moment:
with speed u, acceleration a and u * u / 2a to the stop it is at u * t - u * u / 2a + a * t * t / 2
beyond it after the time t, which for no u is more than a * t * t. That is a start from rest with
twice the acceleration, and the time by which a hoist follows from a stop is worked out for that.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import overload

from ...checker.hoists.ways import OnTable, Piece, trip
from ...problem import Motion as Speeds
from .motions import Motion


@dataclass(frozen=True)
class Choice:
    """A way of keeping two motions apart; times in grid time.

    Attributes
    ----------
    length : int
        Least time from the leaving of the first to that of the second in a schedule that is
        kept.
    stop : Fraction or None
        Position at which the second one stops if it may not go on; None: it does not set out.
    left : int or None
        How long ago the first must have left; None: it must have arrived.
    """

    length: int
    stop: Fraction | None
    left: int | None


class Choices(Sequence[Choice]):
    """All ways of keeping `two` apart from `one`, which is before it; the safest first.

    They are worked out one after another, when asked for: most motions need the first only.

    Parameters
    ----------
    table : OnTable
        The line they are on.
    one, two : Motion
        Of different hoists, too near one another somewhere on their ways, which lead in the
        same direction: the first away from the second.
    clearance : Fraction
        Between these two hoists.

    Attributes
    ----------
    stop : Fraction or None
        Where the second one stops short of all of the other's way; None where it is there, or
        beyond, from the start.
    """

    def __init__(self, table: OnTable, one: Motion, two: Motion, clearance: Fraction) -> None:
        side = 1 if one.hoist > two.hoist else -1
        near = one.low if side > 0 else one.high
        self.stop, self._braking = _stop(table, two, near - side * clearance)
        self._left = self._all(table, one, two, side, clearance)
        self._found: list[Choice] = []

    def _all(
        self, table: OnTable, one: Motion, two: Motion, side: int, clearance: Fraction
    ) -> Iterator[Choice]:
        way, stop, braking = one.arrives - one.leaves, self.stop, self._braking
        yield Choice(way, None, None)
        last = way
        if stop is not None:
            last = way - braking
            yield Choice(last, stop, None)
        left = _follows(table, one, two, two.here if stop is None else stop, side, clearance)
        if left < way:
            last = left - braking
            yield Choice(last, stop, left)
        if stop is not None:
            # From where it begins, as the schedule itself may have it.
            left = _follows(table, one, two, two.here, side, clearance)
            if left < last:
                yield Choice(left, None, left)

    @overload
    def __getitem__(self, number: int) -> Choice: ...

    @overload
    def __getitem__(self, number: slice) -> list[Choice]: ...

    def __getitem__(self, number: int | slice) -> Choice | list[Choice]:
        if isinstance(number, slice) or number < 0:
            self._found += self._left
        while not isinstance(number, slice) and len(self._found) <= number:
            following = next(self._left, None)
            if following is None:
                raise IndexError(number)
            self._found.append(following)
        return self._found[number]

    def __len__(self) -> int:
        self._found += self._left
        return len(self._found)


def _stop(table: OnTable, motion: Motion, at: Fraction) -> tuple[Fraction | None, int]:
    """Where a motion stops short, and how long after leaving it has to brake for that.

    None where it is there, or beyond, from the start.
    """
    if not min(motion.here, motion.there) < at < max(motion.here, motion.there):
        return None, 0
    speeds = _speeds(table, motion)
    pieces = list(trip(table.clock, speeds, 0, motion.here, at))
    return at, pieces[-1].until if speeds.acceleration is None else pieces[-1].since


def _speeds(table: OnTable, motion: Motion) -> Speeds:
    hoist = table.problem.hoists[motion.hoist]
    speeds = hoist.empty if motion.step is None else hoist.loaded
    assert speeds is not None
    return speeds


def _follows(
    table: OnTable, one: Motion, two: Motion, begins: Fraction, side: int, clearance: Fraction
) -> int:
    """The least time, rounded up a little, after which a hoist may follow from a place."""
    clock = table.clock
    leads = [*trip(clock, _speeds(table, one), 0, one.here, one.there)]
    speeds = _speeds(table, two)
    if speeds.acceleration is not None and begins != two.here:
        speeds = speeds.model_copy(update={"acceleration": 2 * speeds.acceleration})
    follows = [*trip(clock, speeds, 0, begins, two.there)]
    # The ways are as long as the first one takes, whatever is true of the distance.
    low, high = -1, one.arrives - one.leaves
    step = max(1, clock.per_unit // 10**6)
    while high - low > step:
        middle = (low + high) // 2
        if _least_distance(leads, follows, middle, side) >= clearance:
            high = middle
        else:
            low = middle
    return high


def _least_distance(
    leads: Sequence[Piece], follows: Sequence[Piece], later: int, side: int
) -> Fraction:
    """Of a hoist that follows so much later, from when it leaves until the one that leads arrives.

    Up to where it begins it has come by the waits of its motion before. How far it may go once
    the one that leads has arrived is a matter of what that one does next, and of the waits for it.
    """
    ends = leads[-1].until
    moved = [
        Piece(piece.since + later, piece.until + later, piece.position, piece.speed, piece.bend)
        for piece in follows
    ]
    begins = Piece(later, later, follows[0].at(follows[0].since))
    second = [begins, *moved]
    if moved[-1].until < ends:
        second.append(Piece(moved[-1].until, ends, moved[-1].at(moved[-1].until)))
    least: Fraction | None = None
    for a in leads:
        for b in second:
            since, until = Fraction(max(a.since, b.since)), Fraction(min(a.until, b.until))
            if since > until:
                continue
            times = [since, until]
            bend = a.bend - b.bend
            if bend:
                speed = a.speed - 2 * a.bend * a.since - b.speed + 2 * b.bend * b.since
                turning = -speed / (2 * bend)
                if since < turning < until:
                    times.append(turning)
            for time in times:
                distance = (a.at(time) - b.at(time)) * side
                least = distance if least is None else min(least, distance)
    assert least is not None
    return least
