"""Several hoists in a programme: where each is at any time, and how far from its neighbours.

What a hoist does follows from the table alone: its moves, the travels that are stated, and
where none is between two moves, the way straight on at once. After its last it stays; where the
programme goes on as a cycle, it goes on to where its first move of the next cycle begins.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise, product

from ...schedule import Travel
from ..distance import outside_text, room_of, shortfall, together, turning_points, where
from ..record import Rule
from ..ways import Doing, Piece, step_doing, travel_doing
from .course import Course
from .findings import Findings

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


@dataclass(frozen=True)
class Approach:
    """When two neighbours are nearest to one another, in grid time, and where they are then.

    `left` is the number of the one with the lesser position, in track order.
    """

    left: int
    time: Fraction
    here: Fraction
    there: Fraction


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


def nearest_once(course: Course, ways: Sequence[Way | None]) -> list[Approach]:
    """When every two neighbours are nearest, of which it is told where they are."""
    end = end_of(course, ways)
    found = []
    for left, (one, other) in enumerate(pairwise(ways)):
        if one is None or other is None:
            continue
        least: Approach | None = None
        pairs = (
            both
            for late, other_late in _when(one, other)
            for both in together(
                one.pieces(end, late=late, high=True), other.pieces(end, late=other_late)
            )
        )
        for a, b in pairs:
            for time in turning_points(a, b):
                here, there = a.at(time), b.at(time)
                if least is None or there - here < least.there - least.here:
                    least = Approach(left, time, here, there)
        if least is not None:
            found.append(least)
    return found


def _when(one: Way, other: Way) -> list[tuple[bool, bool]]:
    """Whether either may come as late as it can, or as soon, in the state."""
    begun = [way.under_way is not None and way.under_way.here != way.begins for way in (one, other)]
    first, second = ((False, True) if known else (False,) for known in begun)
    return list(product(first, second))


def hoists_keep_apart(findings: Findings) -> None:
    """No hoist is where it cannot be, and no two are ever closer than the clearance."""
    course = findings.course
    if len(course.table.timetables) == 1:
        return
    ways = ways_of(course)
    made = [_makes_something(findings, way) for way in ways if way is not None]
    if any(made):
        return
    kept = [way is None or _in_time(findings, way) for way in ways]
    if not all(kept) or not _idle_at_an_end(findings, ways):
        return  # where a hoist is cannot be told
    for way in ways:
        if way is not None:
            _on_the_track(findings, way)
    track = course.table.problem.track
    assert track is not None
    for nearest in nearest_once(course, ways):
        _too_close(findings, nearest, Fraction(track.clearance), ways)


def _makes_something(findings: Findings, way: Way) -> bool:
    """Note what a hoist does that the state has out of service; whether it does anything."""
    course = findings.course
    name = course.table.problem.hoists[way.hoist].name
    at = where(way.begins, course.table.problem.length_unit)
    if name not in course.state.out_of_service:
        return False
    for doing in way.doings:
        text = f"hoist {name} is out of service, and stays at {at}"
        _note(findings, way.hoist, doing, doing.since, text, rule="impossible move")
    return bool(way.doings)


def _idle_at_an_end(findings: Findings, ways: Sequence[Way | None]) -> bool:
    """A hoist that does nothing stands at an end of the track, out of the way of all others."""
    busy = [hoist for hoist, way in enumerate(ways) if way is not None]
    for hoist in range(busy[0], busy[-1]) if busy else ():
        if ways[hoist] is None:
            _note(
                findings,
                hoist,
                None,
                0,
                "it does nothing, but hoists on both sides of it do: where it is meanwhile is "
                "not told",
                rule="clearance",
            )
            return False
    return True


def _in_time(findings: Findings, way: Way) -> bool:
    """Everything begins where the hoist is, and once it is there; tell whether it does."""
    kept, shown, tolerance = True, findings.time, findings.clock.tolerance
    unit = findings.course.table.problem.length_unit
    first = way.doings[0] if way.doings else None
    free = 0 if way.under_way is None else way.under_way.free
    if first is not None and first.since < free - tolerance:
        kept = False
        text = f"it begins at {shown(first.since)}, but the hoist is free at {shown(free)} only"
        _note(findings, way.hoist, first, first.since, text)
    for before, after in pairwise(way.doings):
        ready = before.ready if after.step else before.until
        if after.since < ready - tolerance:
            kept = False
            if before.step or before.number != -1:  # else it is told by another rule
                _note(
                    findings,
                    way.hoist,
                    after,
                    after.since,
                    f"it begins at {shown(after.since)}, but the hoist is there and ready at "
                    f"{shown(ready)} only ({shown(ready - after.since)} too early)",
                )
        elif before.there != after.here:
            kept = False
            _note(
                findings,
                way.hoist,
                after,
                after.since,
                f"it begins at position {where(after.here, unit)}, but the hoist is at "
                f"{where(before.there, unit)}",
            )
    if way.doings and way.doings[0].here != way.begins:
        kept = False
        _note(
            findings,
            way.hoist,
            way.doings[0],
            way.doings[0].since,
            f"it begins at position {where(way.doings[0].here, unit)}, but the hoist is at "
            f"{where(way.begins, unit)}",
        )
    return kept


def _on_the_track(findings: Findings, way: Way) -> None:
    """A hoist stays in its range and on the track, and leaves the others room beyond it."""
    problem = findings.course.table.problem
    low, high = room_of(problem, way.hoist)
    for doing in way.doings:
        if doing.number < 0:
            continue  # of what is not stated nothing is told but by the step it leads to
        outside = next((end for end in (doing.here, doing.there) if not low <= end <= high), None)
        if outside is not None:
            text = outside_text(outside, low, high, problem.length_unit)
            _note(findings, way.hoist, doing, doing.since, text, kind="outside")


def _too_close(
    findings: Findings, nearest: Approach, clearance: Fraction, ways: Sequence[Way | None]
) -> None:
    table = findings.course.table
    one = ways[nearest.left]
    assert one is not None
    distance = nearest.there - nearest.here
    if distance >= clearance - shortfall(table, len(one.doings) + 1):
        return
    a, b = (table.problem.hoists[nearest.left + more].name for more in (0, 1))
    unit = table.problem.length_unit
    apart = f"{where(abs(distance), unit)} apart"
    if distance < 0:
        apart += ", on the wrong side of one another"
    time = round(nearest.time)
    begun = [doing for doing in one.doings if doing.step and doing.since <= nearest.time]
    _note(
        findings,
        nearest.left,
        begun[-1] if begun else None,
        time,
        f"at {findings.time(time)} hoist {a} is at {where(nearest.here, unit)} and hoist {b} "
        f"at {where(nearest.there, unit)}, {apart}; the clearance is {where(clearance, unit)}",
        apart=(distance, clearance),
        rule="clearance",
        kind=f"clearance {nearest.left}",
    )


def _note(
    findings: Findings,
    hoist: int,
    doing: Doing | None,
    time: int,
    text: str,
    *,
    rule: Rule = "hoist in two places",
    apart: tuple[Fraction, Fraction] | None = None,
    kind: str = "way",
) -> None:
    """Note a fault of a hoist, at a step where there is one, else at the hoist itself."""
    table = findings.course.table
    if doing is not None and doing.step:
        station = table.steps[doing.number].source
        findings.add(rule, doing.number, time, text, station=station, apart=apart, kind=kind)
        return
    travel = None
    if doing is not None and doing.number >= 0:
        travel = doing.number + 1
        to = where(table.programme.travels[doing.number].to, table.problem.length_unit)
        text, kind = f"travel {travel}, to {to}: {text}", f"{kind} {doing.number}"
    station = f"Hoist {table.problem.hoists[hoist].name}"
    findings.add(rule, None, time, text, station=station, apart=apart, travel=travel, kind=kind)
