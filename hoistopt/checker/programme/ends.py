"""The ends of the line in a programme: places where loads enter and leave, and carriers.

A programme has a beginning and an end, so people put carriers there and take them away:
one that has stood its minimum occupation may be taken away by hand, and one put there by
hand stands its minimum occupation before it is lifted. So at one place of a load or unload
station a lift comes a minimum occupation after whatever the hoist did there before, and so
does setting down after setting down; after a lift the place is free at once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ...problem import Station
from .course import Course, Run
from .findings import Findings

LONG_AGO = -(10**60)


@dataclass(slots=True, eq=False)
class Place:
    """A place at an end of the line: from when on a carrier may be lifted or set down.

    `held` is whether the hoist, or the state, has put a carrier there.
    """

    lift: int
    lower: int
    held: bool = False


@dataclass(frozen=True, slots=True)
class Event:
    """The hoist lifts a carrier for a new load at an end of the line, or sets one down."""

    time: int
    lifts: bool
    station: str
    run: Run | None = None


def events(course: Course) -> list[Event]:
    """What the hoist does at the ends of the line, in order of time.

    A load that it carries when the programme begins may be set down at one of them.
    """
    routes = course.table.routes
    found = []
    for hoist, carries in course.state.carried:
        last = routes.last(carries.recipe)
        if carries.stage == (last if routes.by_hoist else last - 1):
            found.append(Event(course.table.span(hoist.free_in)[1], False, hoist.station))
    for run in course.runs:
        if run.leg.leaves == 0:
            found.append(Event(run.start, True, run.source, run))
        if run.leg.reaches is not None and not routes.stays_on(run.leg):
            found.append(Event(run.end, False, run.target, run))
    return sorted(found, key=lambda event: event.time)


def first_places(course: Course, station: Station, capacity: int) -> list[Place]:
    """The places of an end of the line as the state leaves them.

    A place of which the state says nothing is ready when the programme begins with an
    empty line; else no carrier stands there, and one has to be put there first.
    """
    table = course.table
    occupied = table.occupied(station.name)
    found = []
    for entry in course.state.standing:
        if entry.station != station.name or not _at_the_end(course, entry.recipe, entry.stage):
            continue
        ready = occupied - table.span(entry.stood)[0]
        found.append(Place(ready, ready, held=True))
    unknown = LONG_AGO if not course.state.each_hoist else occupied
    found += [Place(unknown, LONG_AGO) for _ in range(capacity - len(found))]
    return found


def _at_the_end(course: Course, recipe: str | None, stage: int) -> bool:
    routes = course.table.routes
    return recipe is None or (stage == routes.last(recipe) and not routes.by_hoist)


def take(places: list[Place], event: Event, occupied: int) -> tuple[int, int]:
    """Let an event go to a place; which one it is, and from when on it was ready for it.

    A lift goes to one that holds a carrier, the one there longest; setting down to the one
    of least use for the next lift.
    """
    if event.lifts:
        ready = [place for place in places if place.lift <= event.time]
        held = [place for place in ready if place.held]
        place = min(held or ready or places, key=lambda place: place.lift)
        before = place.lift
    else:
        ready = [place for place in places if place.lower <= event.time]
        free = [place for place in ready if not place.held]
        place = (
            max(free or ready, key=lambda place: place.lift)
            if ready
            else min(places, key=lambda place: place.lower)
        )
        before = place.lower
    place.lift = event.time + occupied
    place.lower = event.time if event.lifts else event.time + occupied
    place.held = not event.lifts
    return places.index(place), before


def places_at_the_ends(findings: Findings) -> None:
    """At load and unload stations carriers stand their time, each at a place of its own."""
    course, tolerance = findings.course, findings.clock.tolerance
    stations = course.table.problem.station_by_name
    places: dict[str, list[Place]] = {}
    for event in events(course):
        station = stations[event.station]
        if station.capacity == "unlimited":
            continue
        if event.station not in places:
            places[event.station] = first_places(course, station, station.capacity)
        occupied = course.table.occupied(event.station)
        _, ready = take(places[event.station], event, occupied)
        if event.time < ready - tolerance:
            _not_ready(findings, event, ready, occupied, station.capacity)


def _not_ready(findings: Findings, event: Event, ready: int, occupied: int, capacity: int) -> None:
    shown = findings.time
    if event.lifts:
        text = (
            f"a carrier is lifted at {shown(event.time)}, but none has stood its "
            f"{shown(occupied)} here before {shown(ready)}"
        )
    else:
        text = (
            f"a carrier is set down at {shown(event.time)}, but no place is free before "
            f"{shown(ready)}"
        )
    many = f"; there are {capacity} places" if capacity > 1 else ""
    findings.add(
        "window" if event.lifts else "double occupation",
        None if event.run is None else event.run.number,
        event.time,
        f"{text} ({shown(ready - event.time)} too early){many}",
        station=event.station,
        found=event.time,
        limit=ready,
        kind="end of the line",
    )


def on_their_way(course: Course) -> Iterator[tuple[int, int]]:
    """When each carrier leaves its unload station and when it is back for a next load.

    Those of the state are among them; one that stands at a load station is back already.
    """
    table = course.table
    for span in course.state.returning:
        yield LONG_AGO, table.span(span)[1]
    for entry in course.state.standing:
        if not _at_the_end(course, entry.recipe, entry.stage):
            continue
        station = table.problem.station_by_name[entry.station]
        # At a load station served from outside stands one of those that are back anyway.
        if entry.recipe is not None or station.unloads or table.routes.by_hoist:
            yield _way_back(course, station, -table.span(entry.stood)[0])
    for event in events(course):
        if not event.lifts:
            yield _way_back(course, table.problem.station_by_name[event.station], event.time)


def _way_back(course: Course, station: Station, time: int) -> tuple[int, int]:
    """When a carrier set down at a time leaves the station, and when it is back."""
    table = course.table
    if table.routes.by_hoist or station.loads:
        return time, time
    left = time + table.occupied(station.name)
    return left, left + table.clock.exact(table.problem.carriers.return_time)


def enough_carriers(findings: Findings) -> None:
    """A new load is lifted on a carrier that is back by then, of as many as there are."""
    course, table = findings.course, findings.course.table
    carriers = table.problem.carriers
    if carriers.count is None:
        return
    back = [ready for _, ready in on_their_way(course)]
    ready = sorted([*back, *[LONG_AGO] * waiting_carriers(course)], reverse=True)
    for event in events(course):
        if not event.lifts:
            continue
        occupied = table.occupied(event.station)
        if ready and ready[-1] <= event.time - occupied + findings.clock.tolerance:
            ready.pop()
            continue
        assert event.run is not None
        one = findings.clock.per_unit
        text = f"there is no carrier for this load, of {carriers.count}"
        if ready:
            text += f"; the next one can be lifted from {findings.time(ready.pop() + occupied)} on"
        findings.add(
            "carriers",
            event.run.number,
            event.time,
            text,
            station=event.station,
            found=(carriers.count + 1) * one,
            limit=carriers.count * one,
        )


def waiting_carriers(course: Course) -> int:
    """How many of the carriers that are counted wait, as the state names them nowhere."""
    count = course.table.problem.carriers.count
    assert count is not None
    back = len(list(on_their_way(course)))
    inside = sum(stay.brought_by is None for stay in course.stays) + _unloading(course)
    lowered = sum(not event.lifts for event in events(course))
    return count - inside - (back - lowered)


def _unloading(course: Course) -> bool:
    """Whether the hoist carries a load out of the line when the programme begins."""
    return any(event.run is None for event in events(course))
