"""Where each of several hoists is at a time of a cycle or of a programme, as a state tells it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from ...base.errors import InputError
from ...problem import Problem
from ...schedule import Between, Carried, HoistAt
from ..grid.clock import Clock
from ..hoists.distance import room_of
from ..hoists.ways import Doing, Piece, all_doings
from ..plan import Plan
from .course import Course, Run
from .ways_once import ways_of


def hoists_in_cycle(plan: Plan, runs: Sequence[Run], at: int, now: int) -> tuple[HoistAt, ...]:
    """Where each hoist is at a time of a cycle; nothing where there is one.

    Parameters
    ----------
    runs : sequence of Run
        What is carried in the same cycle, some cycles after it began with an empty line.
    at, now : int
        The time in the cycle, and in those runs, in grid time.
    """
    table = plan.table
    if len(table.timetables) == 1:
        return ()
    found = []
    for number, does in enumerate(all_doings(table, plan.parts)):
        turned = [_later(doing, by) for by in (-table.cycle, 0) for doing in does]
        turned.sort(key=lambda doing: doing.since)
        begins = turned[0].here if turned else None
        carries = _carried(runs, number, now)
        found.append(_at(table.problem, table.clock, number, begins, turned, at, carries))
    return _one_after_another(table.problem, found)


def hoists_after(course: Course, now: int) -> tuple[HoistAt, ...]:
    """Where each hoist is at a time of a programme, in grid time; nothing where there is one.

    Raises
    ------
    InputError
        When one of them is not free yet of what it did when the programme began.
    """
    table = course.table
    if len(table.timetables) == 1:
        return ()
    found: list[HoistAt | None] = []
    out = {at.name: at for at in course.state.hoists if at.out_of_service}
    for number, way in enumerate(ways_of(course)):
        if (stays := out.get(table.problem.hoists[number].name)) is not None:
            found.append(stays)
            continue
        if way is not None and way.under_way is not None and now < way.under_way.free:
            raise InputError(
                "a time from which all hoists have been free once",
                field="at",
                value=float(table.clock.fraction(now)),
            )
        does = () if way is None else way.doings
        begins = None if way is None else way.begins
        carries = _carried(course.runs, number, now)
        found.append(_at(table.problem, table.clock, number, begins, does, now, carries))
    return _one_after_another(table.problem, found)


def _carried(runs: Sequence[Run], hoist: int, now: int) -> Carried | None:
    for run in runs:
        if run.hoist == hoist and run.start <= now < run.end:
            return Carried(run.leg.recipe, run.leg.leaves, run.load)
    return None


def _later(doing: Doing, by: int) -> Doing:
    return replace(
        doing,
        since=doing.since + by,
        until=doing.until + by,
        ready=doing.ready + by,
        pieces=_moved(doing.pieces, by),
        between=None if doing.between is None else (_moved(doing.low, by), _moved(doing.high, by)),
    )


def _moved(way: Sequence[Piece], by: int) -> tuple[Piece, ...]:
    return tuple(replace(piece, since=piece.since + by, until=piece.until + by) for piece in way)


def _at(
    problem: Problem,
    clock: Clock,
    hoist: int,
    begins: Fraction | None,
    does: Sequence[Doing],
    now: int,
    carries: Carried | None,
) -> HoistAt | None:
    """Where a hoist is; None where nothing it does tells."""
    name = problem.hoists[hoist].name
    if begins is None:
        return None
    last = next((doing for doing in reversed(does) if doing.since <= now), None)
    there = begins if last is None else last.there
    station = next((s.name for s in problem.stations if s.position == there), "")
    if last is None or now >= max(last.until, last.ready):
        return HoistAt(station, Between.of(0), name=name, position=None if station else there)
    if last.between is not None:
        raise InputError(
            f"a time at which hoist {name} makes no move of which a table has the time, as it is "
            "not known where it is meanwhile",
            field="at",
            value=float(clock.fraction(now)),
            way_out=f"It is there in {float(clock.fraction(last.until - now)):g} {problem.unit}.",
        )
    here = next((piece.at(now) for piece in last.pieces if piece.since <= now < piece.until), there)
    if not station:
        raise InputError(
            f"a time at which hoist {name} does not travel to a place between stations, which a "
            "state cannot tell",
            field="at",
            value=float(clock.fraction(now)),
            way_out=f"It is there in {float(clock.fraction(last.until - now)):g} {problem.unit}.",
        )
    free = clock.fraction((last.until if last.step else max(last.until, last.ready)) - now)
    return HoistAt(
        station,
        Between(free, free),
        carries,
        name=name,
        position=None if here == there else Fraction(round(here * 10**6), 10**6),
    )


def _one_after_another(problem: Problem, found: Sequence[HoistAt | None]) -> tuple[HoistAt, ...]:
    """All hoists; one that does nothing stands as far out of the way as it can."""
    busy = [number for number, at in enumerate(found) if at is not None]
    told = []
    for number, at in enumerate(found):
        low, high = room_of(problem, number)
        out = low if busy and number < busy[0] else high
        name = problem.hoists[number].name
        told.append(at or HoistAt("", Between.of(0), name=name, position=out))
    return tuple(told)
