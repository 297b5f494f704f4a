"""What neighbouring hoists wait for of one another: least times between what they do.

The order in which two hoists come to a part of the track that both use is taken from the
plan. What the one does and what the other does are too close at some pairs of instants of the
two; all of them have the same order, as each goes one way only. So one least time between the
two starts says all that is asked of them, and all such times together say that no two hoists
are ever too close, whenever they start and however long they rest between.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise, product
from typing import Any

from ..grid.clock import Clock
from ..plan import Plan
from .distance import shortfall
from .ways import Doing, Piece

Curve = tuple[Any, Any, Any, Any, Any]
"""A piece counted from the start of what is done: since, until, position, speed, bend."""

CLOSE = 1e-9
"""Time units by which a least time is longer than it needs be where ways are curved."""

HALVED = 1e-6
"""Time units by which halving in floating point may miss a least time: where two hoists come to
go at one speed, a position wrong in its last digit is a time wrong by about the root of that."""


@dataclass(frozen=True, slots=True)
class Separation:
    """One hoist starts something only so long after its neighbour started something.

    ``start of after - start of before >= length - height * cycle``, in grid time.

    Attributes
    ----------
    before, after : (int, int)
        Hoist, and place in what that hoist does in a cycle.
    length, height : int
    """

    before: tuple[int, int]
    after: tuple[int, int]
    length: int
    height: int

    def slack(self, does: Sequence[Sequence[Doing]], cycle: int) -> int:
        """By how much later `before` could start in every cycle; grid time."""
        (hoist, place), (other, its) = self.before, self.after
        apart = does[other][its].since - does[hoist][place].since
        return apart - self.length + self.height * cycle


def separations(plan: Plan, does: Sequence[Sequence[Doing]]) -> Iterator[Separation]:
    """All that neighbours wait for of one another, in the order of a clean plan.

    What follows from the rest is left out.

    Parameters
    ----------
    plan : Plan
    does : sequence of sequence of Doing
        What each hoist does in a cycle, in track order.
    """
    track = plan.table.problem.track
    if track is None:
        return
    for left, (ones, others) in enumerate(pairwise(does)):
        needed = Fraction(track.clearance) - shortfall(plan.table, len(ones))
        found = _pairs(plan, left, ones, others, needed)
        known = {(each.before, each.after): each for each in found}
        yield from (each for each in found if not _implied(each, known, does))


def _pairs(
    plan: Plan, left: int, ones: Sequence[Doing], others: Sequence[Doing], needed: Fraction
) -> list[Separation]:
    """What any two things that two neighbours do ask of one another."""
    lags, cycle, found = Lags(plan.table.clock, needed), plan.table.cycle, []
    near = plan.table.clock.tolerance + int(2 * HALVED * plan.table.clock.per_unit)
    seen_back = [mirrored(one) for one in ones], [mirrored(other) for other in others]
    for (i, one), (j, other) in product(enumerate(ones), enumerate(others)):
        sooner = lags.of(one, other)
        if sooner is None:
            continue
        later = lags.of(seen_back[1][j], seen_back[0][i])
        assert later is not None
        apart = other.since - one.since
        # The first cycle in which the right one comes after the left one.
        turn = -((apart - sooner + near) // cycle)
        first, second = (left, i), (left + 1, j)
        found += [
            Separation(first, second, min(sooner, apart + turn * cycle), turn),
            Separation(second, first, min(later, (1 - turn) * cycle - apart), 1 - turn),
        ]
    return found


def _implied(
    each: Separation,
    known: Mapping[tuple[tuple[int, int], tuple[int, int]], Separation],
    does: Sequence[Sequence[Doing]],
) -> bool:
    """Whether it follows from what the next thing, or the one before, of a hoist asks."""
    (hoist, place), (other, its) = each.before, each.after
    following = (place + 1) % len(does[hoist])
    before = (its - 1) % len(does[other])
    around = (
        (known.get(((hoist, following), each.after)), hoist, place),
        (known.get((each.before, (other, before))), other, before),
    )
    return any(
        by is not None
        and by is not each
        and by.height + (start + 1 == len(does[whose])) == each.height
        and by.length + least_until_next(does[whose], start) >= each.length
        for by, whose, start in around
    )


def least_until_next(does: Sequence[Doing], place: int) -> int:
    """The least time from the start of what a hoist does to that of the next, in grid time."""
    doing, after = does[place], does[(place + 1) % len(does)]
    return (doing.ready if after.step else doing.until) - doing.since


def mirrored(doing: Doing) -> Doing:
    """What a hoist does, with all positions negated, as seen from the other side of the track."""
    pieces, low, high = (
        tuple(Piece(p.since, p.until, -p.position, -p.speed, -p.bend) for p in way)
        for way in (doing.pieces, doing.low, doing.high)
    )
    between = None if doing.between is None else (high, low)
    return replace(doing, here=-doing.here, there=-doing.there, pieces=pieces, between=between)


class Lags:
    """How long after the start of one thing another may start, by what they are."""

    def __init__(self, clock: Clock, needed: Fraction) -> None:
        self.clock = clock
        self.needed = needed
        self._known: dict[tuple[tuple[Curve, ...], tuple[Curve, ...]], int] = {}

    def of(self, first: Doing, then: Doing) -> int | None:
        """The least time from a start on the left to a later one on the right, in grid time.

        The greatest `s - u` at which the hoist on the left, `s` after its start, is too close
        to the one on the right, `u` after its own. None where they never are.
        """
        ends, near = (first.here, first.there), (then.here, then.there)
        needed = self.needed
        if max(ends) + needed <= min(near):
            return None
        lasts = first.until - first.since
        if first.there > first.here:
            # It is where it is most in the way at its end, and stays there.
            reaches = first.there + needed
            if then.there < then.here and then.here >= reaches:
                return lasts - self._passing(then, then.low, reaches)
            return lasts
        if then.there >= then.here:
            # The other is most in the way at its start.
            begins = then.here - needed
            if first.there > begins:
                return lasts
            return self._passing(first, first.high, begins)
        return self._following(first, then)

    def _passing(self, doing: Doing, way: Sequence[Piece], position: Fraction) -> int:
        """When a position is passed on one of its ways, counted from the start."""
        for piece in way:
            ends = sorted((piece.at(piece.since), piece.at(piece.until)))
            if ends[0] < ends[1] and ends[0] <= position <= ends[1]:
                return self._reached(piece, position) - doing.since
        return (doing.until if position == doing.there else doing.since) - doing.since

    def _reached(self, piece: Piece, position: Fraction) -> int:
        """When a piece of a way is at a position that it passes."""
        if not piece.bend:
            return piece.since + int((position - piece.position) / piece.speed)
        # A piece of changing speed begins or ends at rest: way = acceleration * time^2 / 2.
        gaining = not piece.speed
        rest = piece.position if gaining else piece.at(piece.until)
        per_unit = self.clock.per_unit
        time = self.clock.root(abs(position - rest) / (abs(piece.bend) * per_unit**2))
        return piece.since + time if gaining else piece.until - time

    def _following(self, first: Doing, then: Doing) -> int:
        """The least time from the start of one to that of the other, both going to the left."""
        key = _curves(first, first.high), _curves(then, then.low)
        if key not in self._known:
            curved = any(curve[4] for curves in key for curve in curves)
            self._known[key] = (self._search if curved else self._corners)(*key)
        return self._known[key]

    def _corners(self, first: tuple[Curve, ...], then: tuple[Curve, ...]) -> int:
        """At constant speeds: the greatest at a corner of where they are too close."""
        best: Fraction | None = None
        for (s0, s1, *a), (u0, u1, *b) in product(first, then):
            ends = [
                (s, u, a[0] + a[1] * (s - s0) + self.needed - b[0] - b[1] * (u - u0))
                for s, u in product((s0, s1), (u0, u1))
            ]
            if all(short <= 0 for _, _, short in ends):
                continue
            found = [Fraction(s - u) for s, u, short in ends if short >= 0]
            for one, two in ((0, 1), (2, 3), (0, 2), (1, 3)):
                (s, u, short), (t, v, other) = ends[one], ends[two]
                if (short < 0) != (other < 0):
                    share = short / (short - other)
                    found.append(s + share * (t - s) - u - share * (v - u))
            best = max(found if best is None else [best, *found])
        assert best is not None
        return best.__ceil__()

    def _search(self, first: tuple[Curve, ...], then: tuple[Curve, ...]) -> int:
        """With acceleration: halved down in floating point, then made sure of exactly."""
        per_unit, needed = self.clock.per_unit, self.needed
        rough = [
            [
                (c[0] / per_unit, c[1] / per_unit, float(c[2]), float(c[3] * per_unit),
                 float(c[4] * per_unit**2))
                for c in curves
            ]
            for curves in (first, then)
        ]  # fmt: skip
        low, high = -rough[1][-1][1], rough[0][-1][1]
        for _ in range(60):
            middle = (low + high) / 2
            if _too_close(rough[0], rough[1], float(needed), middle):
                low = middle
            else:
                high = middle
        part = Fraction(self.clock.ticks(1), 1000)
        whole = round(Fraction(high) * per_unit / part) * part
        if abs(whole - Fraction(high) * per_unit) < HALVED * per_unit and not _too_close(
            first, then, needed, whole
        ):
            return whole.__ceil__()
        more = CLOSE
        while _too_close(first, then, needed, int(Fraction(high + more) * per_unit)):
            more *= 2
        return int(Fraction(high + more) * per_unit)


def _curves(doing: Doing, way: Sequence[Piece]) -> tuple[Curve, ...]:
    return tuple(
        (p.since - doing.since, p.until - doing.since, p.position, p.speed, p.bend)
        for p in way
        if p.until > p.since
    )


def _too_close(first: Sequence[Curve], then: Sequence[Curve], needed: Any, shift: Any) -> bool:
    """Whether two are too close at some instant, if the one starts so much before the other."""
    place = 0
    for since, until, *way in first:
        while place < len(then) and then[place][1] + shift < since:
            place += 1
        for begins, ends, *other in then[place:]:
            if begins + shift > until:
                break
            low, high = max(since, begins + shift), min(until, ends + shift)
            times = [low, high]
            bend = other[2] - way[2]
            if bend > 0:
                change = other[1] - 2 * other[2] * (begins + shift) - way[1] + 2 * way[2] * since
                turning = -change / (2 * bend)
                if low < turning < high:
                    times.append(turning)
            for time in times:
                t, v = time - since, time - begins - shift
                here = way[0] + way[1] * t + way[2] * t * t
                there = other[0] + other[1] * v + other[2] * v * v
                if there < here + needed:
                    return True
    return False
