"""How far apart in time moves of two hoists are at the least, whatever the hoists do between.

At an instant of a move of a left hoist and one of a move of a right hoist they may be a distance
short of what they have to keep. Between the two instants either hoist, and each between them,
makes good that distance. That takes it no less than the distance at the greatest speed it has;
one that stands still at its instant has to gain that speed first. Where both stand still, the one
that goes away gains speed while the one that follows it slows down: together that takes no less
than a trip of that distance from rest to rest. Any instants may be taken: with fewer of them the
separation is only smaller.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import isqrt

_PARTS = 10**12
"""Of a tick, in which roots are told, rounded down."""
_UNSURE = Fraction(1, 10**9)
"""Ticks by which a separation may be told too large, generously: roots are cut off."""
_SHARES = (Fraction(0), Fraction(1, 2), Fraction(1))
"""Instants while speed is gained, as shares of the time that this takes."""


@dataclass(frozen=True)
class Instant:
    """When in a move its hoist is where.

    Attributes
    ----------
    time : Fraction
        Ticks from the start of the move.
    position : Fraction
    still : bool
        Whether it does not move.
    bend : Fraction
        Half its acceleration until the next instant, length a tick squared, below 0 where it
        slows down.
    """

    time: Fraction
    position: Fraction
    still: bool = False
    bend: Fraction = Fraction(0)


@dataclass(frozen=True)
class Fastest:
    """What a hoist can do at the best, empty or loaded.

    Attributes
    ----------
    speed : Fraction
        Length a tick.
    acceleration : Fraction or None
        Length a tick squared; None: it has its speed at once.
    """

    speed: Fraction
    acceleration: Fraction | None

    def time(self, distance: Fraction, rests: int) -> Fraction:
        """The least time for a distance, in ticks, at rest at so many of its ends."""
        speed, gain = self.speed, self.acceleration
        if gain is None or not rests:
            return distance / speed
        # With one end at rest the trip is half of one twice as long.
        whole = distance * (2 if rests == 1 else 1)
        if whole * gain >= speed * speed:
            return distance / speed + rests * speed / gain / 2
        return _root(whole / gain) * rests

    def beside(self, other: Fastest) -> Fastest:
        """The better of each of two."""
        gains = self.acceleration, other.acceleration
        return Fastest(
            max(self.speed, other.speed),
            None if gains[0] is None or gains[1] is None else max(gains[0], gains[1]),
        )


def instants_of(
    comes: Fraction,
    leaves: Fraction,
    ends: Fraction,
    here: Fraction,
    there: Fraction,
    loaded: Fastest,
) -> tuple[Instant, ...]:
    """Instants of the true way of a move, in order of time.

    Parameters
    ----------
    comes, leaves, ends : Fraction
        Ticks from the start of lifting: from when on the hoist stands there in any case; when
        travelling begins; when the load is set down.
    here, there : Fraction
        Positions.
    loaded : Fastest
        How it travels with a load.
    """
    first, last = Instant(comes, here, True), Instant(ends, there, True)
    way, sign = abs(there - here), 1 if there > here else -1
    if not way:
        return first, last
    speed, gain = loaded.speed, loaded.acceleration
    if gain is None:
        total = way / speed
        return first, Instant(leaves, here, True), Instant(leaves + total, there, True), last
    risen = min(way / 2, speed * speed / gain / 2)
    gaining = speed / gain if 2 * risen < way else _root(way / gain)
    total = 2 * gaining + (way - 2 * risen) / speed
    up = [
        Instant(leaves + gaining * share, here + sign * risen * share**2, not share, gain / 2)
        for share in _SHARES
    ]
    down = [
        Instant(
            leaves + total - gaining * share, there - sign * risen * share**2, not share, -gain / 2
        )
        for share in reversed(_SHARES)
    ]
    up[-1] = Instant(up[-1].time, up[-1].position)
    down[-1] = Instant(down[-1].time, there, True)
    return first, *(up if 2 * risen < way else up[:-1]), *down, last


def least_apart(
    left: Sequence[Instant],
    right: Sequence[Instant],
    needed: Fraction,
    hoists: Sequence[Fastest],
    resting: Sequence[Fastest] = (),
) -> tuple[int, int] | None:
    """What moves of a left and a right hoist forbid the time between their starts.

    Parameters
    ----------
    left, right : sequence of Instant
        Of the two moves.
    needed : Fraction
        The distance that their hoists have to keep.
    hoists : sequence of Fastest
        The left hoist, those between, the right one.
    resting : sequence of Fastest, optional
        If each of them is to make good the distance by a trip from rest to rest, its speed and
        acceleration: more than is needed.

    Returns
    -------
    (int, int) or None
        The right one's move starts so many ticks after the left one's at the most, or so many
        at the least. None: whenever it likes.

    Notes
    -----
    Positions only rise or only fall in a move, so instants that are too close are joined by
    others, and what all of them forbid is one interval.
    """
    least: Fraction | None = None
    most: Fraction | None = None
    joint = hoists[0].beside(hoists[-1])
    for s, u, short in _too_close(left, right, needed):
        apart = s.time - u.time
        wait = Fraction(0)
        if short:
            # Of each hoist at how many ends of its way it rests: the more, the longer it takes.
            rests = dict.fromkeys(hoists, 0)
            for hoist, still in ((hoists[0], s.still), (hoists[-1], u.still)):
                rests[hoist] = max(rests[hoist], int(still))
            if s.still and u.still:
                rests[joint] = 2
            rests.update(dict.fromkeys(resting, 2))
            wait = max(hoist.time(short, ends) for hoist, ends in rests.items())
        least = apart - wait if least is None else min(least, apart - wait)
        most = apart + wait if most is None else max(most, apart + wait)
    if least is None or most is None or most - least <= 2 * _UNSURE:
        return None
    return (least + _UNSURE).__floor__(), (most - _UNSURE).__ceil__()


def _too_close(
    left: Sequence[Instant], right: Sequence[Instant], needed: Fraction
) -> Iterator[tuple[Instant, Instant, Fraction]]:
    """Instants at which a distance is short, and those between which it begins to be."""
    short = [[s.position + needed - u.position for u in right] for s in left]
    if all(each <= 0 for row in short for each in row):
        return
    for i, s in enumerate(left):
        for j, u in enumerate(right):
            if short[i][j] > 0 or (short[i][j] == 0 and _beside(short, i, j)):
                yield s, u, short[i][j]
            if i and short[i - 1][j] * short[i][j] < 0:
                yield _when(left[i - 1], s, u.position - needed), u, Fraction(0)
            if j and short[i][j - 1] * short[i][j] < 0:
                yield s, _when(right[j - 1], u, s.position + needed), Fraction(0)


def _beside(short: Sequence[Sequence[Fraction]], i: int, j: int) -> bool:
    """Whether the distance is short at an instant next to these."""
    rows = short[max(0, i - 1) : i + 2]
    return any(each > 0 for row in rows for each in row[max(0, j - 1) : j + 2])


def _when(one: Instant, next_one: Instant, position: Fraction) -> Instant:
    """When between two instants the hoist is at a position."""
    time, way = next_one.time - one.time, abs(next_one.position - one.position)
    passed, bend = abs(position - one.position), one.bend
    begins = way / time - bend * time
    if not bend:
        return Instant(one.time + passed / begins, position)
    # The root of begins t + bend t^2 = passed that does not fail where the bend is small.
    return Instant(
        one.time + 2 * passed / (begins + _root(begins**2 + 4 * bend * passed)), position
    )


def _root(squared: Fraction) -> Fraction:
    """A square root, rounded down to :data:`_PARTS`; 0 of what is less by rounding."""
    scaled = max(Fraction(0), squared) * _PARTS**2
    return Fraction(isqrt(scaled.numerator // scaled.denominator), _PARTS)
