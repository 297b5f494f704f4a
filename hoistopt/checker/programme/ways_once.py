"""Several hoists in a programme: where each is at any time.

What a hoist does follows from the table alone: its moves, the travels that are stated, and
where none is between two moves, the way straight on at once. After its last it stays; where the
programme goes on as a cycle, it goes on to where its first move of the next cycle begins.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from ...schedule import Travel
from ..hoists.ways import Doing, Piece, step_doing, travel_doing
from .course import Course

FROM_STATE = -2
"""In place of the number of a travel that is not stated: straight on from where the state has
the hoist."""


@dataclass(frozen=True)
class UnderWay:
    """A hoist that the state has on its way: from where to where, and when it is free there.

    It goes so that it is there in time to settle, and to lower what it carries, until it is
    free: at top speed it would arrive between `soon` and `late`. How it gains and loses speed
    makes a difference of the time in which it gains it.
    """

    here: Fraction
    there: Fraction
    free: int
    travels: int
    soon: int
    late: int

    def pieces(self, *, late: bool) -> list[Piece]:
        """Its way if it goes at once, or at the latest."""
        if self.here == self.there:
            return [Piece(0, self.free, self.here)]
        arrives = max(self.travels, self.late if late else self.soon)
        leaves, speed = arrives - self.travels, (self.there - self.here) / self.travels
        return [
            Piece(0, leaves, self.here),
            Piece(leaves, arrives, self.here, speed),
            Piece(arrives, max(arrives, self.free), self.there),
        ]


@dataclass(frozen=True)
class Way:
    """All that a hoist does in a programme.

    Attributes
    ----------
    hoist : int
        Its number in track order.
    begins : Fraction
        Where it stands at first, or once it is free.
    doings : tuple of Doing
        In order of time; the number of a step counts the steps of the programme from 0.
    under_way : UnderWay or None
        Where it is until it is free, if the state says so.
    """

    hoist: int
    begins: Fraction
    doings: tuple[Doing, ...]
    under_way: UnderWay | None = None

    def pieces(self, until: int, *, late: bool = False, high: bool = False) -> list[Piece]:
        """Where it is from the beginning up to a time, its rests included.

        Of moves of which a table has the time where it may be at the least, or at the most. Of
        one that is under way in the state where it is if it comes as soon as it can, or as
        `late` as it can.
        """
        found: list[Piece] = []
        time, at = 0, self.begins
        if self.under_way is not None:
            found += self.under_way.pieces(late=late)
            time = self.under_way.free
        for doing in self.doings:
            if doing.since > time:
                found.append(Piece(time, doing.since, at))
            found += doing.high if high else doing.low
            time, at = doing.until, doing.there
        if until >= time:
            found.append(Piece(time, until, at))
        return found


def ways_of(course: Course) -> list[Way | None]:
    """What each hoist does, in track order; None of one that does nothing anywhere told."""
    return [_way(course, hoist) for hoist in range(len(course.table.timetables))]


def end_of(course: Course, ways: Sequence[Way | None]) -> int:
    """When the last hoist is at rest for good; or when the last cycle shown is over."""
    if course.table.programme.repeats is not None:
        return course.table.block[1]
    last = [way.doings[-1].until for way in ways if way is not None and way.doings]
    return max([course.end, *last])


def _way(course: Course, hoist: int) -> Way | None:
    table = course.table
    name, motion = table.problem.hoists[hoist].name, table.problem.hoists[hoist].empty
    assert motion is not None
    given: list[tuple[int, bool, int, Travel | Doing]] = [
        (doing.since, True, doing.number, doing)
        for run in course.runs
        if run.hoist == hoist
        for doing in [step_doing(table, run.number, run.parts)]
    ]
    given += [
        (table.clock.exact_ticks(travel.start), False, number, travel)
        for number, travel in enumerate(table.programme.travels)
        if travel.hoist == name
    ]
    given.sort(key=lambda one: one[:3])
    begun = _under_way(course, hoist)
    if not given and begun is None:
        return None
    if begun is not None:
        begins = here = begun.there
    else:
        first = given[0][3]
        begins = here = first.here if isinstance(first, Doing) else first.to
    found: list[Doing] = []
    for start, _, number, what in given:
        if isinstance(what, Doing):
            if here != what.here and (found[-1].step if found else begun is not None):
                straight = Travel(Fraction(0), "", what.here)
                free = found[-1].until if found else begun.free if begun is not None else 0
                number = -1 if found else FROM_STATE
                found.append(travel_doing(table.clock, motion, number, free, here, straight))
            found.append(what)
        else:
            found.append(travel_doing(table.clock, motion, number, start, here, what))
        here = found[-1].there
    if table.programme.repeats is not None:
        found += _onward(course, hoist, found)
    return Way(hoist, begins, tuple(found), begun)


def _onward(course: Course, hoist: int, done: Sequence[Doing]) -> Iterator[Doing]:
    """The empty travels to the first move of the next cycle, by a hoist that makes one."""
    table, last = course.table, next((one for one in reversed(done) if one.step), None)
    since, until = table.block
    starts = [
        (table.starts[run.number], run.source)
        for run in course.runs
        if run.hoist == hoist and since <= table.starts[run.number] < until
    ]
    if not starts or last is None:
        return
    stated, motion = table.problem.hoists[hoist], table.problem.hoists[hoist].empty
    assert motion is not None
    first, station = min(starts)
    there = table.problem.station_by_name[station].position
    assert there is not None
    here, time = done[-1].there, done[-1].until
    again = False
    for number, travel in enumerate(table.programme.travels):
        start = table.clock.exact_ticks(travel.start)
        if travel.hoist == stated.name and since <= start < first:
            again = True
            doing = travel_doing(table.clock, motion, number, start + until - since, here, travel)
            here = doing.there
            yield doing
    if not again and done[-1].step and here != there:
        straight = Travel(Fraction(0), "", Fraction(there))
        yield travel_doing(table.clock, motion, -1, time, here, straight)


def _under_way(course: Course, hoist: int) -> UnderWay | None:
    """Where the state has a hoist, where it tells."""
    table = course.table
    stated = table.problem.hoists[hoist]
    at = next((one for one in course.state.hoists if one.name == stated.name), None)
    if at is None:
        return None
    there = table.problem.station_by_name[at.station].position if at.station else at.position
    assert there is not None
    here = Fraction(there) if at.position is None else at.position
    least, most = table.span(at.free_in)
    motion = stated.empty if at.carries is None else stated.loaded
    assert motion is not None
    speed, last, gaining = Fraction(motion.speed), Fraction(0), Fraction(0)
    if at.station:
        station = table.problem.station_by_name[at.station]
        last += Fraction(motion.settling if station.settling is None else station.settling)
        if at.carries is not None:
            last += Fraction((stated.lower if station.lower is None else station.lower) or 0)
    if motion.acceleration is not None:
        gaining = speed / Fraction(motion.acceleration)
    per_unit = table.clock.per_unit
    return UnderWay(
        here=here,
        there=Fraction(there),
        free=max(0, most),
        travels=(abs(Fraction(there) - here) / speed * per_unit).__ceil__(),
        soon=(least - (last + gaining) * per_unit).__floor__(),
        late=(most - last * per_unit).__ceil__(),
    )
