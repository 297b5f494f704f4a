"""States of the line as a programme passes through them, and as a cycle does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from ...base.errors import InputError
from ...base.numbers.decimals import told
from ...problem import Problem, Station
from ...schedule import (
    Between,
    Carried,
    HoistAt,
    LineState,
    Programme,
    Resting,
    Schedule,
    Standing,
    unroll,
)
from ..plan import Plan
from ..replay import plan_of
from .course import Course, Table
from .ends import Event, events, first_places, on_their_way, take
from .follow import follow
from .hoists_at import hoists_after, hoists_in_cycle
from .record import ProgrammeReplay


def named_schedule(plan: Plan) -> Schedule:
    """A schedule with recipe, load, stage and boundaries of every step filled in.

    Parameters
    ----------
    plan : Plan
        What each step is taken to do, such as that of a replay.

    Raises
    ------
    InputError
        When a step never runs, so that there is nothing to fill in.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> replay = hoistopt.replay(problem, hoistopt.solve(problem).schedule)
    >>> [step.load for step in hoistopt.named_schedule(replay.plan)]
    [1, 1, 1, 1, 1]
    """
    schedule = plan.table.schedule
    steps = []
    for number, step in enumerate(schedule):
        leg, first = plan.legs[number], plan.firsts[number]
        if leg is None or first is None:
            raise InputError(
                "a step that runs in every cycle of the full line", field=f"step {number + 1}"
            )
        link = plan.links.get(number) if leg.leaves else None
        steps.append(
            replace(
                step,
                recipe=leg.recipe,
                load=plan.loads[number],
                stage=leg.leaves,
                boundaries=None if link is None else link.boundaries,
            )
        )
    return Schedule(schedule.cycle, schedule.ticks_per_unit, tuple(steps), schedule.travels)


def state_in_cycle(problem: Problem, schedule: Schedule, at: Fraction | int) -> LineState:
    """The state of the line at a time of the full cycle, with the moves that its loads have left.

    Parameters
    ----------
    problem : Problem
        The line.
    schedule : Schedule
        A cycle that breaks no rule.
    at : Fraction or int
        Time from the beginning of the cycle, in the problem's unit.

    Raises
    ------
    InputError
        When the time is not one of the cycle, or the schedule makes no sense on the line.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> hoistopt.state_in_cycle(problem, hoistopt.solve(problem).schedule, 0).empty
    False
    """
    cycle = schedule.time(schedule.cycle)
    if not 0 <= at < cycle:
        raise InputError(f"a time from 0 to below {told(cycle)}", field="at", value=told(at))
    plan = plan_of(problem, schedule)
    # From empty the line is full after as many cycles as the last step waits for its first
    # load; one more, for the carriers at its ends to have turned round. Cycles enough
    # follow to tell which carriers stand there for the lifts to come. Places rest from lifts
    # some cycles ago.
    filled = max((first for first in plan.firsts if first is not None), default=0) + 2
    filled += int(Fraction(max(station.min_rest for station in problem.stations)) // cycle)
    longest = max(station.min_occupation for station in problem.stations)
    programme = unroll(named_schedule(plan), filled + 2 + int(Fraction(longest) // cycle))
    course = follow(Table(problem, programme), LineState())
    now, since = course.table.clock.exact(filled * cycle + Fraction(at)), Fraction(at)
    hoists = hoists_in_cycle(plan, course.runs, plan.table.clock.exact(since), now)
    state = replace(state_at(course, now), hoists=hoists)
    begun = filled * schedule.cycle + Fraction(at) * schedule.ticks_per_unit
    return replace(state, onward=_onward(programme, state, begun))


def _onward(programme: Programme, state: LineState, now: Fraction) -> Programme:
    """The moves after a time, in ticks, of the loads that are in the line then."""
    steps = tuple(
        replace(step, start=(step.start - now).__ceil__())
        for step in programme
        if step.load in state.loads and step.start > now
    )
    return Programme(programme.ticks_per_unit, steps)


def state_after(seen: ProgrammeReplay, at: Fraction | int) -> LineState:
    """The state of the line at a time of a programme.

    Parameters
    ----------
    seen : ProgrammeReplay
        What the checker saw of the programme.
    at : Fraction or int
        Time from the beginning of the programme, in the problem's unit.

    Raises
    ------
    InputError
        When the time is below 0.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> programme = hoistopt.unroll(hoistopt.solve(problem).schedule, cycles=2)
    >>> seen = hoistopt.replay_programme(problem, programme)
    >>> hoistopt.state_after(seen, seen.finish).empty
    True
    """
    if at < 0:
        raise InputError("a time of at least 0", field="at", value=at)
    now = seen.course.table.clock.exact(Fraction(at))
    return replace(state_at(seen.course, now), hoists=hoists_after(seen.course, now))


def state_at(course: Course, now: int) -> LineState:
    """The state of the line at a time of a course, in grid time, but for several hoists."""
    fraction = course.table.clock.fraction
    standing = [
        Standing(
            station=stay.station,
            stage=stay.stage,
            stood=Between(fraction(now - stay.late), fraction(now - stay.early)),
            recipe=stay.recipe,
            load=stay.load,
        )
        for stay in course.stays
        if stay.early <= now and (stay.until is None or stay.until > now)
    ]
    standing += _at_the_ends(course, now)
    returning, resting = tuple(_returning(course, now)), tuple(_resting(course, now))
    return LineState(tuple(standing), _hoist(course, now), returning, resting)


def _resting(course: Course, now: int) -> Iterator[Resting]:
    """Places left by a carrier so lately that they rest yet, and are empty."""
    table = course.table
    fraction = table.clock.fraction
    for station in table.problem.stations:
        if not station.min_rest:
            continue
        assert isinstance(station.capacity, int)
        rest = table.clock.exact(station.min_rest)
        empty = [
            (now - stay.until, now - stay.until)
            for stay in course.stays
            if stay.station == station.name and stay.until is not None
            if stay.until <= now < stay.until + rest
        ]
        for entry in course.state.resting:
            if entry.station == station.name:
                since, until = table.span(entry.empty_for)
                if since + now < rest:
                    empty.append((since + now, until + now))
        # Of those left lately others have been filled again: those that rested the longest.
        standing = sum(
            stay.station == station.name
            and stay.early <= now
            and (stay.until is None or stay.until > now)
            for stay in course.stays
        )
        for least, most in sorted(empty)[: max(0, station.capacity - standing)]:
            yield Resting(station.name, Between(fraction(least), fraction(most)))


def _hoist(course: Course, now: int) -> HoistAt | None:
    fraction = course.table.clock.fraction
    if len(course.table.timetables) > 1:
        return None  # for others to tell
    begun = [run for run in course.runs if run.start <= now]
    if not begun:
        hoist = course.state.hoist
        if hoist is None:
            return None
        free = Between(hoist.free_in.least - fraction(now), hoist.free_in.most - fraction(now))
        carries = hoist.carries if free.most > 0 else None
        return HoistAt(hoist.station, free, carries)
    run = begun[-1]
    free_in = fraction(run.end - now)
    carries = Carried(run.leg.recipe, run.leg.leaves, run.load) if run.end > now else None
    return HoistAt(run.target, Between(free_in, free_in), carries)


def _at_the_ends(course: Course, now: int) -> Iterator[Standing]:
    """Carriers at load and unload stations, with those whose minimum occupation is not over."""
    table = course.table
    seen = events(course)
    named = [entry.station for entry in course.state.standing]
    for name in dict.fromkeys([*named, *(event.station for event in seen)]):
        station = table.problem.station_by_name[name]
        here = [event for event in seen if event.station == name]
        if station.loads:
            yield from _at_load_station(course, station, here, now)
        elif station.unloads and not table.routes.by_hoist:
            yield from _at_unload_station(course, station, here, now)


def _at_load_station(
    course: Course, station: Station, here: list[Event], now: int
) -> Iterator[Standing]:
    table = course.table
    occupied = table.occupied(station.name)
    if station.capacity == "unlimited":
        if table.problem.carriers.count is not None:
            lowered = [event.time for event in here if not event.lifts and event.time <= now]
            late = [time for time in lowered if time + occupied > now]
            yield from (_empty(course, station, now - time) for time in late)
        return
    places = first_places(course, station, station.capacity)
    last = [place.lift - occupied if place.held else None for place in places]
    following: list[Event | None] = [None for _ in places]
    for event in here:
        number, _ = take(places, event, occupied)
        if event.time <= now:
            last[number] = None if event.lifts else event.time
        elif following[number] is None:
            following[number] = event
    for came, onward in zip(last, following, strict=True):
        if came is None and onward is not None and onward.lifts:
            came = onward.time - occupied  # people put it there in time
        if came is not None and came <= now:
            yield _empty(course, station, now - came)


def _empty(course: Course, station: Station, stood: int) -> Standing:
    time = course.table.clock.fraction(stood)
    return Standing(station.name, 0, Between(time, time))


def _at_unload_station(
    course: Course, station: Station, here: list[Event], now: int
) -> Iterator[Standing]:
    """Carriers that may not be taken away yet."""
    table = course.table
    occupied, fraction = table.occupied(station.name), table.clock.fraction
    for entry in course.state.standing:
        if entry.station == station.name and table.span(entry.stood)[0] + now < occupied:
            passed = fraction(now)
            stood = Between(entry.stood.least + passed, entry.stood.most + passed)
            yield replace(entry, stood=stood)
    for event in here:
        if not event.time <= now < event.time + occupied:
            continue
        stood = Between(fraction(now - event.time), fraction(now - event.time))
        if event.run is not None:
            leg, load = event.run.leg, event.run.load
            yield Standing(station.name, leg.leaves + 1, stood, leg.recipe, load)
            continue
        for at, one in course.state.carried:
            if at.station == station.name and table.span(at.free_in)[1] == event.time:
                yield Standing(station.name, one.stage + 1, stood, one.recipe, one.load)


def _returning(course: Course, now: int) -> Iterator[Between]:
    """Carriers that have left their unload station and are not back yet."""
    table = course.table
    carriers = table.problem.carriers
    if carriers.count is None or table.routes.by_hoist:
        return
    for left, ready in on_their_way(course):
        if left <= now < ready:
            time = table.clock.fraction(ready - now)
            yield Between(time, time)
