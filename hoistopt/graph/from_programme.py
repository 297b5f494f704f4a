"""The event graph of a programme, from the checker's reading of it, in its exact times.

A programme is made once, so no arc has a height. Nodes are its moves in order of time and, as
the last node, the moment of the state it begins with: time 0. Times of the state that are in
doubt count with the end of their range that asks for more.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from ..checker import ProgrammeReplay
from ..checker.programme.course import Course, Run
from ..checker.programme.ends import (
    LONG_AGO,
    events,
    first_places,
    on_their_way,
    take,
    waiting_carriers,
)
from .arc import Arc, EventGraph, Part, hoist_arc


@dataclass(frozen=True, slots=True)
class OnceDwell:
    """A load standing between two moves; `arrival` is None where the state has it there.

    `room` is by how much the dwell may grow, in grid steps; None without a maximum.
    """

    arrival: int | None
    departure: int
    station: str
    label: str
    load: int
    room: int | None


@dataclass(frozen=True)
class TimedProgramme:
    """What the moves of a programme wait for, and when they are planned, in grid steps.

    Attributes
    ----------
    seen : ProgrammeReplay
    starts : tuple of int
        By move, and 0 for the moment of the state.
    waits : tuple of Arc
        What moves wait for: the hoist from the move before, the minimum dwell, the rest of a
        tank, the ends of the line, and what the state has under way.
    left_out : tuple of Arc
        What the hoist needs, besides, from a move to one after the next. None where times
        obey the triangle inequality.
    dwells : tuple of OnceDwell
    tolerance, per_unit : int
        Of the checker's clock.
    """

    seen: ProgrammeReplay
    starts: tuple[int, ...]
    waits: tuple[Arc, ...]
    left_out: tuple[Arc, ...]
    dwells: tuple[OnceDwell, ...]
    tolerance: int
    per_unit: int

    def slack(self, arc: Arc) -> int:
        """How late the tail may be, as planned, without making the head late."""
        return max(0, arc.slack(self.starts, 0))

    @property
    def moves(self) -> int:
        """Number of moves."""
        return len(self.starts) - 1


def timed_programme(seen: ProgrammeReplay) -> TimedProgramme:
    """Read off what waits for what, and when all of it is planned.

    Parameters
    ----------
    seen : ProgrammeReplay
        Of a programme that the checker accepted.
    """
    course = seen.course
    hoist = list(_hoist(course))
    clock = course.table.clock
    return TimedProgramme(
        seen=seen,
        starts=(*(run.start for run in course.runs), 0),
        waits=(
            *(arc for arc in hoist if arc.head in (arc.tail + 1, 0)),
            *waits_of_loads(course),
        ),
        left_out=tuple(arc for arc in hoist if arc.head not in (arc.tail + 1, 0)),
        dwells=tuple(dwells_of_loads(course)),
        tolerance=clock.tolerance,
        per_unit=clock.per_unit,
    )


def waits_of_loads(course: Course) -> tuple[Arc, ...]:
    """What moves wait for whichever hoists make them: dwells, rests, and the ends of the line.

    Nodes are the runs of the course in order of time and, last, the moment of the state.
    """
    return (*_minima(course), *_rests(course), *_ends(course), *_carriers(course))


def programme_graph(plan: TimedProgramme) -> EventGraph:
    """All constraints between the starts of a programme's moves, their order kept.

    The anchor is the moment of the state, which cannot be moved.
    """
    arcs = (*plan.waits, *plan.left_out, *maxima_of_loads(plan.seen.course), *_from_the_start(plan))
    return EventGraph(len(plan.starts), plan.moves, arcs, Fraction(plan.per_unit))


def _from_the_start(plan: TimedProgramme) -> Iterator[Arc]:
    """No move begins before the state."""
    for number in range(plan.moves):
        yield Arc(plan.moves, number, 0, 0, "hoist")


def _hoist(course: Course) -> Iterator[Arc]:
    """One hoist between any two moves, without the arcs that follow from others."""
    runs, empty = course.runs, course.table.times.empty
    origin = len(runs)
    state = course.state.hoist
    ends = {run.target for run in runs} | ({state.station} if state else set())
    begins = {run.source for run in runs}
    longest = max((empty(a, b) or 0 for a in ends for b in begins), default=0)

    def total(run: Run) -> int:
        return run.parts.total

    if state is not None:
        free = course.table.span(state.free_in)[1]
        chain, at = free, state.station
        for head, run in enumerate(runs):
            chain += empty(at, run.source) or 0
            direct = free + (empty(state.station, run.source) or 0)
            if head == 0 or direct > chain:
                part = Part("empty", direct, to=head, label=state.station)
                yield Arc(origin, head, direct, 0, "hoist", (part,))
                chain = max(chain, direct)
            if chain >= free + longest:
                break
            chain, at = chain + total(run), run.target
    for tail, run in enumerate(runs):
        chain, at = total(run), run.target
        for head in range(tail + 1, len(runs)):
            after = runs[head]
            way = empty(run.target, after.source) or 0
            chain += empty(at, after.source) or 0
            if head == tail + 1 or total(run) + way > chain:
                yield hoist_arc(tail, head, total(run), way, 0)
                chain = max(chain, total(run) + way)
            if chain >= total(run) + longest:
                break
            chain, at = chain + total(after), after.target


def _minima(course: Course) -> Iterator[Arc]:
    """A load stands its minimum before it is lifted."""
    origin = len(course.runs)
    for stay in course.stays:
        if stay.lifted_by is None:
            continue
        least = stay.window.least
        stands = Part("minimum", least, move=stay.brought_by, label=stay.station)
        if stay.brought_by is None:
            parts = (Part("limit", stay.late), stands)
            yield Arc(origin, stay.lifted_by, stay.late + least, 0, "minimum", parts)
            continue
        moving = course.runs[stay.brought_by].parts.total
        parts = (Part("loaded", moving, move=stay.brought_by), stands)
        yield Arc(stay.brought_by, stay.lifted_by, moving + least, 0, "minimum", parts)


def _rests(course: Course) -> Iterator[Arc]:
    """A load comes to a place that has been empty for long enough: that left first has.

    What the state has under way to a place gets one whatever its rest.
    """
    table, origin = course.table, len(course.runs)
    for station in table.problem.stations:
        if not station.min_rest:
            continue
        assert isinstance(station.capacity, int)
        rest = table.clock.exact(station.min_rest)
        stays = [stay for stay in course.stays if stay.station == station.name]
        known = [stay for stay in stays if stay.brought_by is None]
        left = sorted(
            -table.span(entry.empty_for)[0]
            for entry in course.state.resting
            if entry.station == station.name
        )
        left = left[max(0, len(left) + len(known) - station.capacity) :]
        gone = [(origin, time) for time in left]
        gone += [
            (lift, 0) for lift in sorted(s.lifted_by for s in stays if s.lifted_by is not None)
        ]
        before = len(left) + len(known)
        comes = sorted(s.brought_by for s in stays if s.brought_by is not None)
        for number, head in enumerate(comes, start=before):
            if number < station.capacity:
                continue
            tail, since = gone[number - station.capacity]
            moving = course.runs[head].parts.total
            parts = (
                Part("rest", since + rest, move=None if tail == origin else tail, to=head,
                     label=station.name),
                Part("loaded", -moving, move=head),
            )  # fmt: skip
            yield Arc(tail, head, since + rest - moving, 0, "rest", parts)


def maxima_of_loads(course: Course) -> Iterator[Arc]:
    """A load is lifted before its maximum is over."""
    origin = len(course.runs)
    for stay in course.stays:
        most = stay.window.most
        if stay.lifted_by is None or most is None:
            continue
        if stay.brought_by is None:
            yield Arc(stay.lifted_by, origin, -stay.early - most, 0, "maximum")
        else:
            moving = course.runs[stay.brought_by].parts.total
            yield Arc(stay.lifted_by, stay.brought_by, -moving - most, 0, "maximum")


def dwells_of_loads(course: Course) -> Iterator[OnceDwell]:
    for stay in course.stays:
        if stay.lifted_by is None or stay.until is None:
            continue
        most = stay.window.most
        yield OnceDwell(
            arrival=stay.brought_by,
            departure=stay.lifted_by,
            station=stay.station,
            label=course.table.routes.label(stay.recipe, stay.stage, stay.station),
            load=stay.load,
            room=None if most is None else max(0, most - (stay.until - stay.early)),
        )


def _ends(course: Course) -> Iterator[Arc]:
    """Carriers stand their time at load and unload stations, each at a place of its own."""
    table, origin = course.table, len(course.runs)
    number = {id(run): index for index, run in enumerate(course.runs)}
    stations = table.problem.station_by_name
    seen = [event for event in events(course) if stations[event.station].capacity != "unlimited"]
    for name in dict.fromkeys(event.station for event in seen):
        station, occupied = stations[name], table.occupied(name)
        capacity = station.capacity
        assert isinstance(capacity, int)
        places = first_places(course, station, capacity)
        last: list[tuple[int, bool] | None] = [None] * len(places)
        for event in (event for event in seen if event.station == name):
            place, ready = take(places, event, occupied)
            before, head = last[place], origin if event.run is None else number[id(event.run)]
            last[place] = (head, event.lifts)
            if event.run is None:
                continue
            # Counted to the start of the move: a carrier is set down at its end.
            more = 0 if event.lifts else -event.run.parts.total
            stands = Part("occupation", occupied, to=head, label=name)
            if before is None or before[0] == origin:
                if ready > LONG_AGO:
                    yield Arc(origin, head, ready + more, 0, "station", (stands,))
                continue
            tail, lifted = before
            if lifted and not event.lifts:
                continue  # the place is free at once, and the hoist comes later anyway
            moving = 0 if lifted else course.runs[tail].parts.total
            yield Arc(tail, head, moving + occupied + more, 0, "station", (stands,))


def _carriers(course: Course) -> Iterator[Arc]:
    """Where carriers are counted, a new load waits for one that has come back."""
    table, origin = course.table, len(course.runs)
    if table.problem.carriers.count is None:
        return
    number = {id(run): index for index, run in enumerate(course.runs)}
    here = events(course)
    lowered = [None if e.run is None else number[id(e.run)] for e in here if not e.lifts]
    back = [ready for _, ready in on_their_way(course)]
    known: list[int | None] = [None] * (len(back) - len(lowered))
    waiting: list[tuple[int, int | None]] = [
        *((LONG_AGO, None) for _ in range(waiting_carriers(course))),
        *zip(back, [*known, *lowered], strict=True),
    ]
    waiting.sort(key=lambda one: one[0], reverse=True)
    for event in here:
        if not event.lifts or event.run is None or not waiting:
            continue
        ready, tail = waiting.pop()
        head, occupied = number[id(event.run)], table.occupied(event.station)
        away = Part("return", occupied, to=head, label=event.station)
        if tail is not None:
            way = ready - course.runs[tail].start
            yield Arc(tail, head, way + occupied, 0, "return", (away,))
        elif ready > LONG_AGO:
            yield Arc(origin, head, ready + occupied, 0, "return", (away,))
