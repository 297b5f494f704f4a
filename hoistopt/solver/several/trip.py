"""An empty trip from rest to rest, as stretches in which the position is a polynomial."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from math import isqrt

from ...instance.data import PARTS


@dataclass(frozen=True, slots=True)
class Stretch:
    """``position + speed * t + bend * t**2``, t in ticks from `since` to `until`."""

    since: Fraction
    until: Fraction
    position: Fraction
    speed: Fraction = Fraction(0)
    bend: Fraction = Fraction(0)

    def at(self, time: Fraction) -> Fraction:
        """The position at a time."""
        # Most stretches are stands or even: fractions take their time even with nothing to add.
        if self.bend:
            passed = time - self.since
            return self.position + (self.speed + self.bend * passed) * passed
        return self.position + self.speed * (time - self.since) if self.speed else self.position

    def moved(self, time: Fraction, position: Fraction) -> Stretch:
        """The stretch shifted by so much time, and to the right by so much way."""
        return replace(
            self,
            since=self.since + time,
            until=self.until + time,
            position=self.position + position,
        )


def trip(
    start: Fraction,
    here: Fraction,
    there: Fraction,
    slowness: Fraction,
    getting_up: Fraction,
) -> tuple[Stretch, ...]:
    """The trip that starts at a time.

    Parameters
    ----------
    slowness : Fraction
        Ticks a unit of length at top speed.
    getting_up : Fraction
        Ticks that it takes to gain top speed; 0: none.
    """
    way = abs(there - here)
    sign = 1 if there > here else -1
    speed = sign / slowness
    if not getting_up:
        return (Stretch(start, start + way * slowness, here, speed),)
    gaining, even = getting_up, way * slowness - getting_up
    if even < 0:
        # Top speed is not reached; a root without an end is taken a little too long, by less
        # than the checker tolerates, and the acceleration so much lower.
        squared = way * slowness * getting_up * PARTS**2
        root = isqrt(squared.numerator // squared.denominator)
        gaining, even = Fraction(root + (root * root < squared), PARTS), Fraction(0)
        speed = sign * way / gaining
    bend = speed / (2 * gaining)
    risen = bend * gaining * gaining
    up, turn = start + gaining, start + gaining + even
    stretches = [Stretch(start, up, here, Fraction(0), bend)]
    if even:
        stretches.append(Stretch(up, turn, here + risen, speed))
    stretches.append(Stretch(turn, turn + gaining, there - risen, speed, -bend))
    return tuple(stretches)


def least_gap(ones: Iterable[Stretch], others: Iterable[Stretch]) -> Fraction | None:
    """The least distance from the first way to the second at one time; None: no such time."""
    found = list(others)
    gaps = (
        other.at(time) - one.at(time)
        for one in ones
        for other in found
        if one.since <= other.until and other.since <= one.until
        for time in _turning_points(one, other)
    )
    return min(gaps, default=None)


def _turning_points(one: Stretch, other: Stretch) -> Iterator[Fraction]:
    """Times at which the distance of two stretches may be least."""
    since, until = max(one.since, other.since), min(one.until, other.until)
    if since > until:
        return
    yield since
    if not (one.speed or one.bend or other.speed or other.bend):
        return
    yield until
    if not (one.bend or other.bend):
        return
    bend = other.bend - one.bend
    if bend > 0:
        change = other.speed + 2 * other.bend * (since - other.since)
        change -= one.speed + 2 * one.bend * (since - one.since)
        time = since - change / (2 * bend)
        if since < time < until:
            yield time
