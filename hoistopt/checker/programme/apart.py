"""Several hoists in a programme: how far each is from its neighbours, and from where it may be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise, product

from ..hoists.distance import outside_text, room_of, shortfall, together, turning_points, where
from ..hoists.ways import Doing
from ..record import Rule
from .course import Course
from .findings import Findings
from .ways_once import Way, end_of, ways_of


@dataclass(frozen=True)
class Approach:
    """When two neighbours are nearest to one another, in grid time, and where they are then.

    `left` is the number of the one with the lesser position, in track order.
    """

    left: int
    time: Fraction
    here: Fraction
    there: Fraction


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
