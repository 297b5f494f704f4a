"""The rules that the course of a programme keeps or breaks: dwell, places, hoist, order.

The rules of single steps stand in :mod:`.move_rules`, those of the ends of the line in
:mod:`.ends`.
"""

from __future__ import annotations

from collections.abc import Callable

from .apart import hoists_keep_apart
from .course import Course, Run, Stay
from .ends import enough_carriers, places_at_the_ends
from .findings import Findings
from .move_rules import (
    by_the_hoist_given,
    columns_agree,
    crossings_kept,
    light_enough,
    moves_made,
    within_reach,
)


def dwell_windows(findings: Findings) -> None:
    """A load stands at least the minimum and at most the maximum, in the whole range of doubt.

    A load that stands there yet when the programme ends must not have passed its maximum
    by then. Loads named as lost have no maximum.
    """
    course = findings.course
    tolerance, end = findings.clock.tolerance, course.told_until
    for stay in course.stays:
        left = stay.until is not None
        until = end if stay.until is None else stay.until
        least, most = until - stay.late, until - stay.early
        window = stay.window
        short = left and least < window.least - tolerance
        dwell = f"dwell {findings.between(least, most, 'down' if short else 'up')}"
        number = None if stay.lifted_by is None else course.runs[stay.lifted_by].number
        if short:
            findings.add(
                "window",
                number,
                until,
                f"{dwell} of load {stay.load}, at least {findings.time(window.least)} required "
                f"({findings.time(window.least - least, 'up')} too short)",
                station=stay.station,
                found=least,
                limit=window.least,
            )
        elif over(findings, stay) and stay.load not in findings.lost:
            assert window.most is not None
            so_far = "" if left else " until the end of the programme, which does not lift it"
            findings.add(
                "window",
                number,
                until,
                f"{dwell} of load {stay.load}{so_far}, at most {findings.time(window.most)} "
                f"allowed ({findings.time(most - window.most, 'up')} too long)",
                station=stay.station,
                found=most,
                limit=window.most,
                kind=None if left else stay.load,
            )


def over(findings: Findings, stay: Stay) -> int:
    """By how much a load may have stood longer than its maximum when it is lifted; else 0.

    The longest that it may have stood counts, up to the end of the programme where no move
    lifts it. A fixed dwell that gives way by less than a tick is not passed within that; if
    it is, all counts from the maximum stated.
    """
    window = stay.window
    if window.most is None:
        return 0
    until = findings.course.told_until if stay.until is None else stay.until
    beyond = until - stay.early - window.most
    return beyond + window.eased if beyond > findings.clock.tolerance else 0


def _came(stay: Stay) -> tuple[int, int]:
    # At one and the same time, what the hoist did first came first.
    return stay.early, -1 if stay.brought_by is None else 2 * stay.brought_by + 1


def _went(stay: Stay) -> tuple[int, int] | None:
    if stay.until is None or stay.lifted_by is None:
        return None
    return stay.until, 2 * stay.lifted_by


def _by_station(course: Course) -> dict[str, list[Stay]]:
    found: dict[str, list[Stay]] = {}
    for stay in course.stays:
        found.setdefault(stay.station, []).append(stay)
    return found


def places(findings: Findings) -> None:
    """A station never holds more loads than it has places."""
    course = findings.course
    stations = course.table.problem.station_by_name
    for name, stays in _by_station(course).items():
        capacity = stations[name].capacity
        if capacity == "unlimited":
            continue
        standing: list[Stay] = []
        for stay in sorted(stays, key=_came):
            moment = _came(stay)
            standing = [
                other for other in standing for went in [_went(other)] if not went or went > moment
            ]
            standing.append(stay)
            if len(standing) > capacity:
                _too_many(findings, stay, standing[:-1], capacity)
                standing = standing[-capacity:]  # one fault is told once


def _too_many(findings: Findings, stay: Stay, others: list[Stay], capacity: int) -> None:
    course, shown = findings.course, findings.time
    held = f"load {others[0].load} stands" if len(others) == 1 else f"{len(others)} loads stand"
    text = f"load {stay.load} is set down at {shown(stay.early)} while {held} there"
    leaving = [other.until for other in others if other.until is not None]
    if leaving:
        first = min(leaving)
        text += f" until {shown(first)} ({shown(first - stay.early)} too early)"
    else:
        text += ", which no step lifts"
    if capacity > 1:
        text += f"; there are {capacity} places"
    one = findings.clock.per_unit
    findings.add(
        "double occupation",
        None if stay.brought_by is None else course.runs[stay.brought_by].number,
        stay.early,
        text,
        station=stay.station,
        found=(len(others) + 1) * one,
        limit=capacity * one,
    )


def places_rest(findings: Findings) -> None:
    """From a load's lifting until the next is set down in its place, the place rests.

    What the hoist is about to set down in the state comes whatever the place; a place that
    the state does not name has rested long enough.
    """
    course = findings.course
    stations = course.table.problem.station_by_name
    for name, stays in _by_station(course).items():
        if not stations[name].min_rest:
            continue
        capacity, rest = stations[name].capacity, course.table.clock.exact(stations[name].min_rest)
        assert isinstance(capacity, int)
        left = [
            -course.table.span(entry.empty_for)[0]
            for entry in course.state.resting
            if entry.station == name
        ]
        standing: list[Stay] = []
        for stay in sorted(stays, key=_came):
            moment, still = _came(stay), []
            for other in standing:
                went = _went(other)
                if went is None or went > moment:
                    still.append(other)
                else:
                    left.append(went[0])
            standing = still
            left = [time for time in left if stay.early < time + rest - findings.clock.tolerance]
            free = capacity - len(standing)
            standing.append(stay)
            if left and len(left) >= free > 0:  # places are alike: the one left first
                first = min(left)
                left.remove(first)
                if stay.brought_by is not None:
                    _too_soon_there(findings, stay, stay.early - first, rest)


def _too_soon_there(findings: Findings, stay: Stay, since: int, rest: int) -> None:
    shown, number = findings.time, stay.brought_by
    assert number is not None
    findings.add(
        "rest",
        findings.course.runs[number].number,
        stay.early,
        f"load {stay.load} is set down at {shown(stay.early)}, {shown(since)} after the one before "
        f"it in its place was lifted; the place rests for {shown(rest)} "
        f"({shown(rest - since)} too early)",
        station=stay.station,
        found=since,
        limit=rest,
    )


def hoist_in_one_place(findings: Findings) -> None:
    """Lifting starts no earlier than the hoist, done with any step before, can be there."""
    for number in range(len(findings.course.table.timetables)):
        _one_hoist(findings, number)


def _one_hoist(findings: Findings, number: int) -> None:
    course = findings.course
    times, tolerance = course.table.timetables[number], findings.clock.tolerance
    runs = [run for run in course.runs if run.hoist == number]
    done: list[tuple[int, str, str]] = []  # when, where, after what
    hoist = course.state.hoist  # of several, where each is belongs to its way
    if hoist is not None:
        done.append((course.table.span(hoist.free_in)[1], hoist.station, "is free"))
    ends = {run.target for run in runs} | {place for _, place, _ in done}
    begins = {run.source for run in runs}
    ways = [times.empty(end, begin) or 0 for end in ends for begin in begins]
    longest = max(ways, default=0)
    for run in runs:
        for free, place, what in reversed(done):
            way = times.empty(place, run.source)
            if way is not None and run.start < free + way - tolerance:
                _too_soon(findings, run, free, place, what, way)
                break
        done.append((run.end, run.target, f"ends step {run.number + 1}"))
        done = [one for one in done if one[0] + longest > run.start]


def _too_soon(findings: Findings, run: Run, free: int, place: str, what: str, way: int) -> None:
    shown, ready = findings.time, free + way
    findings.add(
        "hoist in two places",
        run.number,
        run.start,
        f"lifting starts at {shown(run.start)}, but the hoist {what} at {place} at {shown(free)} "
        f"and needs {shown(way)} to get here, so it can lift from {shown(ready)} on "
        f"({shown(ready - run.start)} too early)",
        station=run.source,
        found=run.start,
        limit=ready,
    )


def order_of_leaving(findings: Findings) -> None:
    """Loads leave a station that keeps order in the order in which they came."""
    course = findings.course
    stations = course.table.problem.station_by_name
    for name, stays in _by_station(course).items():
        station = stations[name]
        if station.order != "fifo" or station.capacity == 1:
            continue
        # In doubt those of the state came in the order in which it lists them.
        ordered = sorted(
            enumerate(stays),
            key=lambda one: (0, one[0]) if one[1].brought_by is None else (1, one[1].brought_by),
        )
        for place, (_, stay) in enumerate(ordered):
            for _, later in ordered[place + 1 :]:
                gone = later.until
                if gone is None or later.lifted_by is None:
                    continue
                if stay.lifted_by is not None and stay.lifted_by < later.lifted_by:
                    continue
                findings.add(
                    "order of leaving",
                    course.runs[later.lifted_by].number,
                    gone,
                    f"lifts load {later.load} before load {stay.load}, which came earlier, has "
                    "left; this station keeps the order",
                    station=name,
                    found=later.early,
                    limit=stay.early,
                )


ALL: tuple[Callable[[Findings], None], ...] = (
    moves_made,
    columns_agree,
    within_reach,
    by_the_hoist_given,
    light_enough,
    crossings_kept,
    dwell_windows,
    places,
    places_rest,
    hoist_in_one_place,
    hoists_keep_apart,
    order_of_leaving,
    places_at_the_ends,
    enough_carriers,
)
