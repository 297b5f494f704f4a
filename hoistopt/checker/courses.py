"""The ways of several hoists, in the problem's units, for whoever draws them."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from ..schedule import Travel
from .grid.clock import Clock
from .hoists.distance import Nearest, nearest_neighbours, next_doing
from .hoists.ways import Piece, all_doings
from .programme.apart import nearest_once
from .programme.record import ProgrammeReplay
from .programme.ways_once import Way, end_of, ways_of
from .record import Replay

CORNERS = 4
"""Straight parts by which a stretch of changing speed is told."""

Point = tuple[Fraction, Fraction]
"""Time in the cycle, which may lie before its start or beyond its end, and position."""


@dataclass(frozen=True)
class Course:
    """A part of a hoist's way: corners in time and position, straight lines between them."""

    hoist: int
    kind: Literal["loaded", "empty", "waiting"]
    points: tuple[Point, ...]


@dataclass(frozen=True)
class AtFirst:
    """Where one of several hoists is when a programme begins.

    Attributes
    ----------
    name : str
    here, there : Fraction or None
        Where it is, and where it is free next, in the problem's unit of length; None of one of
        which nothing is told: it does nothing, and stands at an end of the track.
    free : Fraction
        From when on, at the latest, in the problem's unit of time.
    out_of_service : bool
        Whether it stays there.
    """

    name: str
    here: Fraction | None
    there: Fraction | None
    free: Fraction
    out_of_service: bool = False


def courses(replay: Replay) -> list[Course]:
    """Where each of several hoists is in one cycle, as the checker saw it."""
    found: list[Course] = []
    plan, clock = replay.plan, replay.plan.table.clock
    for hoist, does in enumerate(all_doings(plan.table, plan.parts)):
        for place, doing in enumerate(does):
            if doing.pieces:
                found.append(
                    Course(hoist, "loaded" if doing.step else "empty", _points(clock, doing.pieces))
                )
            turned, after = next_doing(does, place, plan.table.cycle)
            if after.since + turned > doing.until:
                rest = Piece(doing.until, after.since + turned, doing.there)
                found.append(Course(hoist, "waiting", _points(clock, (rest,))))
    return found


def approaches(replay: Replay) -> list[Nearest]:
    """The least distance in a cycle of every two neighbours that both make moves."""
    plan = replay.plan
    return nearest_neighbours(plan, all_doings(plan.table, plan.parts))


def courses_once(seen: ProgrammeReplay) -> list[Course]:
    """Where each of several hoists is in a programme, as the checker saw it.

    A hoist of which nothing is told has no course. One that the state has under way is where
    it is if it comes as late as it can.
    """
    course, clock = seen.course, seen.course.table.clock
    ways, found = ways_of(course), []
    end = end_of(course, ways)
    for way in ways:
        if way is None:
            continue
        found += _begun(seen, way)
        time, at = 0 if way.under_way is None else way.under_way.free, way.begins
        for doing in way.doings:
            if doing.since > time:
                rest = Piece(time, doing.since, at)
                found.append(Course(way.hoist, "waiting", _points(clock, (rest,))))
            if doing.pieces:
                kind: Literal["loaded", "empty"] = "loaded" if doing.step else "empty"
                found.append(Course(way.hoist, kind, _points(clock, doing.pieces)))
            time, at = doing.until, doing.there
        if end > time:
            rest = Piece(time, end, at)
            found.append(Course(way.hoist, "waiting", _points(clock, (rest,))))
    return found


def approaches_once(seen: ProgrammeReplay) -> list[Nearest]:
    """The least distance in a programme of every two neighbours of which it is told where
    they are."""
    found = nearest_once(seen.course, ways_of(seen.course))
    per_unit = seen.course.table.clock.per_unit
    return [Nearest(one.left, one.time / per_unit, one.here, one.there) for one in found]


def hoists_at_first(seen: ProgrammeReplay) -> tuple[AtFirst, ...]:
    """Where each of several hoists is at time 0, in track order; none where there is one.

    Where no state tells, it is where the first thing that it does begins.
    """
    hoists, clock = seen.problem.hoists, seen.course.table.clock
    if len(hoists) == 1:
        return ()
    found = []
    for hoist, way in zip(hoists, ways_of(seen.course), strict=True):
        name, begun = hoist.name or "", None if way is None else way.under_way
        out = name in seen.course.state.out_of_service
        here = way.begins if way is not None else None
        free = Fraction(0) if begun is None else clock.fraction(begun.free)
        found.append(AtFirst(name, begun.here if begun else here, here, free, out))
    return tuple(found)


def travels_made(seen: ProgrammeReplay) -> tuple[Travel, ...]:
    """The travels to give way of a programme, without those on which a hoist stays where it is."""
    still = {
        doing.number
        for way in ways_of(seen.course)
        if way is not None
        for doing in way.doings
        if not doing.step and doing.here == doing.there
    }
    travels = enumerate(seen.programme.travels)
    return tuple(travel for number, travel in travels if number not in still)


def _begun(seen: ProgrammeReplay, way: Way) -> list[Course]:
    """What the state has a hoist do, until it is free."""
    if way.under_way is None or not way.under_way.free:
        return []
    clock, problem = seen.course.table.clock, seen.problem
    name = problem.hoists[way.hoist].name
    carries = any(at.name == name and at.carries is not None for at in seen.course.state.hoists)
    pieces = tuple(p for p in way.under_way.pieces(late=True) if p.until > p.since)
    moves = way.under_way.here != way.under_way.there
    kind: Literal["loaded", "empty", "waiting"] = "empty" if moves else "waiting"
    return [Course(way.hoist, "loaded" if carries else kind, _points(clock, pieces))]


def _points(clock: Clock, pieces: tuple[Piece, ...]) -> tuple[Point, ...]:
    fraction = clock.fraction
    found: list[Point] = []
    for piece in pieces:
        parts = CORNERS if piece.bend else 1
        for part in range(parts + 1):
            time = piece.since + (piece.until - piece.since) * part // parts
            point = fraction(time), piece.at(time)
            if not found or found[-1] != point:
                found.append(point)
    return tuple(found)
