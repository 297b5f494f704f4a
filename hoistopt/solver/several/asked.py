"""What a move of one hoist asks of the others: lines over time that they keep clear of."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from itertools import pairwise

from ...instance.several import Corner, Path
from .trip import Stretch

Legs = Sequence[tuple[Fraction, Fraction]]
"""Travels: when each starts, and the position to which it leads."""


@dataclass(frozen=True)
class Line:
    """Where a hoist may not be left of: corners over time, at top speed up to and down from them.

    For a line that a hoist may not be right of, positions are negative. `slowness` is in ticks
    a unit of length. `true` is what the move that asks for it does, to the instant, where that
    counts, and `truly` how high that comes; `known` whether what its hoist does before and after
    it is known.
    """

    corners: tuple[Corner, ...]
    slowness: Fraction
    true: tuple[Stretch, ...] = ()
    known: bool = False
    truly: Fraction | None = None

    def at(self, time: Fraction) -> Fraction:
        """The least position at a time."""
        (first, begins), (last, ends) = self.corners[0], self.corners[-1]
        if time <= first:
            return begins - (first - time) / self.slowness
        if time >= last:
            return ends - (time - last) / self.slowness
        return _along(self.corners, time)

    def passes(self, position: Fraction, since: Fraction) -> Fraction | None:
        """The first time from `since` on at which a hoist at a position has to move."""
        if self.at(since) > position:
            return since
        first, begins = self.corners[0]
        if begins > position and since <= first:
            return max(since, first - (begins - position) * self.slowness)
        for (s, x), (u, y) in pairwise(self.corners):
            if y > position >= x and u > since:
                return max(since, s + (position - x) * (u - s) / (y - x))
        return None

    def stretches(self, since: Fraction, until: Fraction) -> Iterator[Stretch]:
        """The line between two times."""
        speed = 1 / self.slowness
        (first, begins), (last, ends) = self.corners[0], self.corners[-1]
        if self.true:
            last = self.true[-1].until
            first, begins, ends = self.true[0].since, self.true[0].position, self.true[-1].at(last)
            yield from self.true
        if since < first:
            yield Stretch(since, first, begins - (first - since) * speed, speed)
        for (s, x), (u, y) in () if self.true else pairwise(self.corners):
            if s < u and s <= until and u >= since:
                yield Stretch(s, u, x, (y - x) / (u - s))
        if until > last:
            yield Stretch(last, until, ends, -speed)

    @property
    def highest(self) -> Fraction:
        """The greatest position that it asks for."""
        return max(position for _, position in self.corners)

    @cached_property
    def top(self) -> Fraction:
        """A position that neither it nor what the move truly does is ever beyond."""
        return self.highest if self.truly is None else max(self.highest, self.truly)


def line_of(corners: Sequence[Corner], slowness: Fraction) -> Line:
    """The line that asks for some corners, and what they are joined by, in time.

    A move may be faster than those who give way to it: they have to set out before.
    """
    rising = _no_faster(corners, slowness)
    back = [(-time, position) for time, position in reversed(rising)]
    falling = _no_faster(back, slowness)
    return Line(tuple((-time, position) for time, position in reversed(falling)), slowness)


def _no_faster(corners: Sequence[Corner], slowness: Fraction) -> list[Corner]:
    """Corners with nothing between them that rises faster than at top speed."""
    found = [corners[-1]]
    for (time, position), following in reversed(list(pairwise(corners))):
        top_time, top = found[-1]
        if position < top - (top_time - time) / slowness:
            continue
        if following != found[-1]:
            # Where the line as it was meets the way up to the corner that is asked for.
            later, above = following
            rate = (above - position) / (later - time)
            reached = top - (top_time - time) / slowness
            passed = (position - reached) / (1 / slowness - rate)
            found.append((time + passed, position + rate * passed))
        found.append((time, position))
    return found[::-1]


def _along(corners: Sequence[Corner], time: Fraction) -> Fraction:
    """The position on a broken line at a time between its ends."""
    for (s, x), (u, y) in pairwise(corners):
        if s <= time <= u:
            return max(x, y) if u == s else x + (y - x) * (time - s) / (u - s)
    raise ValueError(f"{time} is not between the ends of the line")


@dataclass(frozen=True)
class Own:
    """A move of a hoist: where it is meanwhile, its start and its end.

    The end is that of a move that is as late as it may be, `late` after that of one on time; a
    hoist goes on at once when that one ends, if nothing is stated. `onward` are the travels that
    it makes after the move, where that is known.
    """

    path: Path
    start: Fraction
    end: Fraction
    late: Fraction = Fraction(0)
    onward: Legs | None = None

    @property
    def here(self) -> Fraction:
        return self.path.high[0][1]

    @property
    def there(self) -> Fraction:
        return self.path.high[-1][1]

    def true(self, apart: Fraction, sign: int = 1) -> tuple[Stretch, ...]:
        """Where the hoist is to the instant, so far to the right; mirrored where `sign` is -1.

        None where that is not known.
        """
        found = []
        for one, other in pairwise(self.path.instants):
            passed = other.time - one.time
            if passed <= 0:
                continue
            speed = (other.position - one.position) / passed - one.bend * passed
            since, until = self.start + one.time, self.start + other.time
            at = sign * (one.position + apart)
            found.append(Stretch(since, until, at, sign * speed, sign * one.bend))
        return tuple(found)

    @cached_property
    def farthest(self) -> tuple[Fraction, Fraction] | None:
        """Two positions between which the hoist truly is all the time, where that is known."""
        if not self.path.instants:
            return None
        positions = [one.position for one in self.path.instants]
        for one, other in pairwise(self.path.instants):
            passed = other.time - one.time
            bent = abs(one.bend) * passed * passed
            if bent > abs(other.position - one.position):  # it turns on its way
                positions += [max(positions) + bent, min(positions) - bent]
        return min(positions), max(positions)

    def mirrored(self) -> Own:
        """What is asked with all positions negated, as on a track with left and right exchanged."""
        instants = tuple(
            replace(one, position=-one.position, bend=-one.bend) for one in self.path.instants
        )
        path = Path(mirrored(self.path.high), mirrored(self.path.low), instants)
        onward = None if self.onward is None else [(start, -to) for start, to in self.onward]
        return Own(path, self.start, self.end, self.late, onward)


def shifted(corners: Sequence[Corner], time: Fraction, position: Fraction) -> tuple[Corner, ...]:
    """Corners so much later and farther to the right."""
    return tuple((t + time, x + position) for t, x in corners)


def mirrored(corners: Sequence[Corner]) -> tuple[Corner, ...]:
    """Corners on a track with its left on the right."""
    return tuple((time, -position) for time, position in corners)
