"""How several hoists give way to one another between the moves of a schedule.

Every move demands that other hoists stay clear of it: a hoist to the right may not be left of
a line over time, which rises at top speed before the move and falls again after it. Between
two of its own moves a hoist needs a way between such lines of the hoists on its left, with the
way already chosen for its neighbour there, and those of the hoists on its right. Hoists are
taken from left to right. Each goes straight on to its next move at once, if that is clear, or
as soon as it is; else it stays where it is until a line makes it move, and then goes no
farther than the move that the line belongs to asks for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from itertools import pairwise

from ...instance import Instance, Several
from ...instance.several import TRAVEL_PARTS, Corner, Path
from ...schedule import Schedule, Travel
from ..model.decode import jobs_of
from .trip import Stretch, least_gap, trip

Legs = Sequence[tuple[Fraction, Fraction]]
"""Travels: when each starts, and the position to which it leads."""
MOST_TURNS = 40
"""Travels between two moves of a hoist."""
LEADS = (Fraction(0), Fraction(1, 2), Fraction(1), Fraction(2))
"""How much sooner than it must a hoist may go, in parts of the time that it takes to gain speed."""


@dataclass(frozen=True)
class Line:
    """Where a hoist may not be left of: corners over time, at top speed up to and down from them.

    For a line that a hoist may not be right of, positions are negative. `slowness` is in ticks
    a unit of length. `true` is what the move that asks for it does, to the instant, where that
    counts; `known` whether what its hoist does before and after it is known.
    """

    corners: tuple[Corner, ...]
    slowness: Fraction
    true: tuple[Stretch, ...] = ()
    known: bool = False

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

    def mirrored(self) -> Own:
        """The same on a track with its left on the right."""
        instants = tuple(
            replace(one, position=-one.position, bend=-one.bend) for one in self.path.instants
        )
        path = Path(_mirrored(self.path.high), _mirrored(self.path.low), instants)
        onward = None if self.onward is None else [(start, -to) for start, to in self.onward]
        return Own(path, self.start, self.end, self.late, onward)


def travels_of(instance: Instance, schedule: Schedule) -> tuple[Travel, ...] | None:
    """The travels with which the hoists of a schedule keep their distance.

    Returns
    -------
    tuple of Travel or None
        Those that do not lead straight on at once; None where no way was found.
    """
    several = instance.several
    assert several is not None
    moves = _moves(instance, schedule, several)
    return from_either_side(several, lambda hoists, own: Ways(hoists, own, schedule.cycle), moves)


Owned = list[list[Own]]
"""For each hoist, from left to right, moves in order of time."""


def from_either_side(
    several: Several, ways: Callable[..., Ways], *owned: Owned
) -> tuple[Travel, ...] | None:
    """Travels found from left to right, or else from right to left.

    The one who is asked first has most to choose from.

    Parameters
    ----------
    ways : callable
        Gives the ways of some hoists, and what is owned by each.
    *owned : list of list of Own
        By hoist.

    Returns
    -------
    tuple of Travel or None
        None where no way was found from either side.
    """
    found = ways(several, *owned).all()
    if found is not None:
        return found
    turned = replace(
        several,
        names=several.names[::-1],
        slowness=several.slowness[::-1],
        getting_up=several.getting_up[::-1],
    )
    mirrored = [[[own.mirrored() for own in each] for each in reversed(one)] for one in owned]
    found = ways(turned, *mirrored).all()
    return None if found is None else tuple(replace(travel, to=-travel.to) for travel in found)


class Ways:
    """The ways of all hoists in a cycle.

    Parameters
    ----------
    several : Several
    moves : list of list of Own
        Of each hoist, in order of time.
    cycle : int
        In ticks.
    """

    exact = False
    """Whether it counts where hoists are in their moves to the instant."""

    def __init__(self, several: Several, moves: list[list[Own]], cycle: int) -> None:
        self.several = several
        self.cycle = Fraction(cycle)
        self.moves = moves
        positions = [x for each in self.moves for own in each for x in (own.here, own.there)]
        self.span = max(positions) - min(positions) + len(several) * several.clearance
        self.left: list[Stretch] = []
        """What the hoist to the left does between its moves, once that is chosen."""

    def all(self) -> tuple[Travel, ...] | None:
        """The travels by which they keep apart; None where no ways were found."""
        found: list[Travel] = []
        for hoist in range(len(self.several)):
            own = self.moves[hoist]
            chosen: list[Stretch] = []
            for place, move in enumerate(own):
                after = own[(place + 1) % len(own)]
                turned = self.cycle if place + 1 == len(own) else Fraction(0)
                gap = Gap(self, hoist, move, after, after.start + turned)
                legs = gap.legs()
                if legs is None:
                    return None
                chosen += gap.way(legs) or ()
                if [start for start, _ in legs] not in ([], [move.end - move.late]):
                    name = self.several.names[hoist]
                    found += [Travel(start % self.cycle, name, to) for start, to in legs]
            self.left = chosen
        return tuple(sorted(found, key=lambda travel: (travel.start, travel.hoist)))

    # -- what other hoists ask for -------------------------------------------------------

    def lows(self, hoist: int, since: Fraction, until: Fraction) -> Iterator[Line]:
        """What a hoist may not be left of, for the moves of those to its left."""
        for left in range(hoist):
            apart = (hoist - left) * self.several.clearance
            for own in self.near(left, since, until):
                corners = _shifted(own.path.high, own.start, apart)
                for line in self._lines(left, hoist, corners, since, until):
                    yield self._asked(line, own, apart, 1)

    def highs(self, hoist: int, since: Fraction, until: Fraction) -> Iterator[Line]:
        """What it may not be right of, mirrored."""
        for right in range(hoist + 1, len(self.several)):
            apart = (right - hoist) * self.several.clearance
            for own in self.near(right, since, until):
                corners = _mirrored(_shifted(own.path.low, own.start, -apart))
                for line in self._lines(hoist, right, corners, since, until):
                    yield self._asked(line, own, -apart, -1)

    def _asked(self, line: Line, own: Own, apart: Fraction, sign: int) -> Line:
        """A line with what the move does to the instant, where that counts."""
        if not self.exact:
            return line
        return replace(line, true=own.true(apart, sign), known=own.onward is not None)

    def neighbour(self, since: Fraction, until: Fraction) -> Iterator[Stretch]:
        """What the hoist to the left does between its moves, the clearance added."""
        for stretch in self.left:
            for later in self.repeated(stretch.since, stretch.until, since, until):
                yield stretch.moved(later, self.several.clearance)

    def _lines(
        self, first: int, last: int, corners: tuple[Corner, ...], since: Fraction, until: Fraction
    ) -> Iterator[Line]:
        """A line in every cycle in which it matters between two times."""
        slowness = max(self.several.slowness[first : last + 1])
        reach = self.span * slowness
        begins, ends = corners[0][0], corners[-1][0]
        for later in self.repeated(begins, ends, since - reach, until + reach):
            yield line_of(_shifted(corners, later, Fraction(0)), slowness)

    def near(self, hoist: int, since: Fraction, until: Fraction) -> Iterable[Own]:
        """The moves of a hoist that may matter between two times; here all of them."""
        del since, until
        return self.moves[hoist]

    def repeated(
        self, begins: Fraction, ends: Fraction, since: Fraction, until: Fraction
    ) -> Iterator[Fraction]:
        """By how much later something happens, again and again, between two times."""
        turn = -(-(since - ends) // self.cycle)
        while begins + turn * self.cycle <= until:
            yield Fraction(turn * self.cycle)
            turn += 1


class Gap:
    """The time between two moves of a hoist; or from its last one on, with none after it."""

    def __init__(
        self, ways: Ways, hoist: int, move: Own, after: Own | None, begins: Fraction
    ) -> None:
        self.move, self.begins = move, begins
        self.there = None if after is None else after.here
        self.comes = begins if after is None else begins + after.path.low[0][0]
        self.slowness = ways.several.slowness[hoist]
        self.later = ways.several.getting_up[hoist]
        self._ways, self._hoist = ways, hoist

    @cached_property
    def lows(self) -> list[Line]:
        """What the hoist may not be left of."""
        return list(self._ways.lows(self._hoist, self.move.end, self.begins))

    @cached_property
    def highs(self) -> list[Line]:
        """What it may not be right of, mirrored."""
        return list(self._ways.highs(self._hoist, self.move.end, self.begins))

    @cached_property
    def neighbour(self) -> list[Stretch]:
        """What the hoist to the left does meanwhile."""
        return list(self._ways.neighbour(self.move.end, self.begins))

    def legs(self) -> Legs | None:
        """Travels that keep clear of all others; none where the hoist need not travel."""
        here, there = self.move.there, self.there
        choices: list[Legs] = []
        if there is not None and there != here:
            choices = [[(start, there)] for start in self._departures(there)]
        for legs in choices or [[]]:
            if self.clear(legs):
                return legs
        for share in LEADS:
            must = self._when_it_must(share * self.later)
            if must is not None and self.clear(must):
                return must
            if not self.later:
                break
        return None

    def way(self, legs: Legs) -> tuple[Stretch, ...] | None:
        """All that the hoist does between the moves; None where it would be late."""
        time, here = self.move.end, self.move.there
        found: list[Stretch] = []
        for start, to in legs:
            if start < time:
                return None
            made = trip(start, here, to, self.slowness, self.later)
            found += [Stretch(time, start, here), *made]
            time, here = made[-1].until, to
        if self.there not in (None, here) or (legs and time > self.comes):
            return None
        return (*found, Stretch(time, self.begins, here))

    def clear(self, legs: Legs, *, known: bool = False) -> bool:
        """Whether the hoist keeps its distance from all others.

        Before and after their moves those to the right need room to come and go. That does not
        count where what they do is `known`, as it is of those to the left, once that is chosen.
        """
        way = self.way(legs)
        if way is None:
            return False
        since, until = self.move.end, self.begins
        near = least_gap(self.neighbour, way)
        if near is not None and near < 0:
            return False
        turned = [replace(s, position=-s.position, speed=-s.speed, bend=-s.bend) for s in way]
        return all(
            (gap := least_gap(asked, own)) is None or gap >= 0
            for lines, own, left in ((self.lows, way, True), (self.highs, turned, False))
            for line in lines
            for asked in [
                line.true
                if line.true and (left or (known and line.known))
                else line.stretches(since, until)
            ]
        )

    def _departures(self, there: Fraction) -> list[Fraction]:
        """When the hoist might leave: at once, or once some other is out of its way."""
        here, ends = self.move.there, self.move.end
        found = {ends}
        rising = there > here
        for line in self.highs if rising else self.lows:
            for time, position in line.corners:
                release = _up(time + (position - (-here if rising else here)) * self.slowness)
                sooner = _up(release - self.later)
                found |= {start for start in (sooner, release) if start > ends}
        found |= {_up(s.since) for s in self.neighbour if s.since > ends}
        return sorted(found)

    def _pushed(self) -> Iterator[Line]:
        """What the neighbour's travels ask for, each from its beginning to its end."""
        corners: list[Corner] = []
        for stretch in self.neighbour:
            ends = stretch.until, stretch.at(stretch.until)
            begins = stretch.since, stretch.position
            rising = ends[1] > begins[1]
            if corners and (begins != corners[-1] or rising != (corners[-1][1] > corners[0][1])):
                yield Line(tuple(corners), self.slowness)
                corners = []
            corners = [*(corners or [begins]), ends]
        if corners:
            yield Line(tuple(corners), self.slowness)

    def _when_it_must(self, lead: Fraction) -> Legs | None:
        """Stay until some other hoist, or the next move, makes the hoist go.

        It goes so much sooner than that, as far as it can: one that starts more slowly than
        the hoist behind it has to.
        """
        up, down = [*self.lows, *self._pushed()], list(self.highs)
        if self.there is not None:
            goal = ((self.comes, self.there), (self.begins, self.there))
            up.append(Line(goal, self.slowness))
            down.append(Line(_mirrored(goal), self.slowness))
        time, here, before = self.move.end, self.move.there, self.move.there
        free = self.move.end
        legs: list[tuple[Fraction, Fraction]] = []
        for _ in range(MOST_TURNS):
            pushes = [
                (when, sign, line)
                for sign, lines in ((1, up), (-1, down))
                for line in lines
                if (when := line.passes(sign * here, time)) is not None and when < self.begins
            ]
            if not pushes:
                break
            when, sign, line = min(pushes, key=lambda push: push[0])
            to = sign * line.highest
            arrives = when + abs(to - here) * self.slowness
            if legs and when == time and (to > here) == (here > before):
                legs[-1] = (legs[-1][0], to)  # straight on
            else:
                took = trip(when, here, to, self.slowness, self.later)[-1].until - when
                legs.append((max(_down(arrives - took - lead), _up(free)), to))
                before = here
            start, to = legs[-1]
            free = trip(start, before, to, self.slowness, self.later)[-1].until
            time, here = arrives, to
        return legs if self.there in (None, here) else None


def _moves(instance: Instance, schedule: Schedule, several: Several) -> list[list[Own]]:
    """The moves of each hoist in order of time."""
    jobs = jobs_of(instance, schedule)
    found: list[list[Own]] = [[] for _ in several.names]
    moves = {(move.job, move.stage): move for move in instance.moves}
    for step in schedule:
        move = moves[jobs[step.load], step.stage or 0]
        for route in move.routes:
            names = instance.places[route.source].name, instance.places[route.target].name
            if names == (step.source, step.target) and several.names[route.hoist] == step.hoist:
                assert route.path is not None
                # It goes on when it is free, which is before the end as planned in whole ticks.
                start = Fraction(step.start)
                end = start + route.work
                late = _up(end + route.pad) - end if route.pad else Fraction(0)
                path = route.path.late_by(route.pad)
                found[route.hoist].append(Own(path, start, end + late, late))
    return found


def _up(time: Fraction) -> Fraction:
    return Fraction((time * TRAVEL_PARTS).__ceil__(), TRAVEL_PARTS)


def _down(time: Fraction) -> Fraction:
    return Fraction((time * TRAVEL_PARTS).__floor__(), TRAVEL_PARTS)


def _shifted(corners: Sequence[Corner], time: Fraction, position: Fraction) -> tuple[Corner, ...]:
    return tuple((t + time, x + position) for t, x in corners)


def _mirrored(corners: Sequence[Corner]) -> tuple[Corner, ...]:
    return tuple((time, -position) for time, position in corners)
