"""Where a state has each of several hoists, and what moves those out of service leave.

Where the state does not say where a hoist is, it stands at first where its first move begins, or
where its first travel leads to. One that the state has on its way goes so that it has settled, and
set down what it carries, when it is free; how it gains speed, and doubt, leave two ways between
which it is. One that is out of service stays where it is, and moves on which another would come too
close to it are none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

from ..base.errors import InfeasibleError, InputError
from ..base.text import any_of, listed
from ..problem import Problem
from ..schedule import LineState
from ..schedule.state_entries import stations_of
from ..schedule.state_hoists import begin_of, end_of
from .data import Instance, Route
from .finite import Begin, FiniteLoad
from .several import Path, path_of
from .times import HoistTimes

FOR_GOOD = Fraction(10**12)
"""Ticks; after everything that a programme does."""


def begins_of(problem: Problem, state: LineState, pattern: Instance) -> tuple[Begin, ...]:
    """Where each hoist is at first, in track order; none where the state does not tell.

    Raises
    ------
    InfeasibleError
        When two of them are too close before they are free.
    InputError
        When they may be, as one is on its way and the state does not tell how fast.
    """
    several, grid = pattern.several, pattern.ticks_per_unit
    if several is None or not state.hoists:
        return ()
    sources = {place for move in pattern.moves for place in move.sources}
    found = []
    for hoist, at in enumerate(state.hoists):
        if at.out_of_service:
            found.append(_stays(hoist, begin_of(problem, at), len(problem.stations)))
            continue
        times = HoistTimes(problem, problem.hoists[hoist])
        here, there = begin_of(problem, at), end_of(problem, at)
        zero = Fraction(0)
        free = max(zero, at.free_in.most * grid)
        path = Path(((zero, here), (free, here)), ((zero, here), (free, here)))
        if here != there:
            loaded = at.carries is not None
            speed, gaining, last = times.to_the_end(at.station, loaded=loaded)
            quickest = abs(there - here) / speed
            soon = at.free_in.least * grid - last - gaining - quickest
            late = max(at.free_in.most * grid - last, quickest)
            path = path_of(zero, max(zero, soon), late, max(free, late), here, there, speed)
        away = tuple(
            times.empty_from(there, station.name) if place in sources else zero
            for place, station in enumerate(problem.stations)
        )
        found.append(Begin(hoist, path, free, away))
    for one, other in combinations(found, 2):
        asked = several.apart(one.hoist, one.path, other.hoist, other.path)
        if asked is not None and asked[0] < 0 < asked[1]:
            names = several.names[one.hoist], several.names[other.hoist]
            both = f"{names[0]} and {names[1]}"
            if all(begin.path.low == begin.path.high for begin in (one, other)):
                raise InfeasibleError(
                    f"{both} come closer than the clearance before they are free, as the state "
                    "has them"
                )
            raise InputError(
                "hoists that keep their distance until they are free, however fast they are on "
                "their way, which a state does not tell",
                field="hoist",
                value=both,
                way_out="Take the state some seconds sooner or later, while one of them stands.",
            )
    return tuple(found)


def _stays(hoist: int, here: Fraction, stations: int) -> Begin:
    """Where a hoist out of service is: there for good."""
    ends = ((Fraction(0), here), (FOR_GOOD, here))
    return Begin(hoist, Path(ends, ends), FOR_GOOD, (Fraction(0),) * stations)


def in_service(problem: Problem, state: LineState, pattern: Instance) -> Instance:
    """The ways that loads go without those of hoists out of service, and those on which another
    hoist would come too close to one of them, where they stay.

    Some moves may have no way left.
    """
    stay = {
        hoist: begin_of(problem, at) for hoist, at in enumerate(state.hoists) if at.out_of_service
    }
    several = pattern.several
    if several is None or not stay:
        return pattern

    def can_be(route: Route) -> bool:
        assert route.path is not None
        least = min(position for _, position in route.path.low)
        most = max(position for _, position in route.path.high)
        return route.hoist not in stay and all(
            most + (hoist - route.hoist) * several.clearance <= at
            if hoist > route.hoist
            else least - (route.hoist - hoist) * several.clearance >= at
            for hoist, at in stay.items()
        )

    moves = tuple(
        replace(move, routes=tuple(route for route in move.routes if can_be(route)))
        for move in pattern.moves
    )
    return replace(pattern, moves=moves)


def without_way(
    problem: Problem, load: FiniteLoad, stage: int, here: int | None
) -> tuple[str, str]:
    """A move that no hoist makes, and whose; `here` is the place where the load stands."""
    last = len(problem.recipe_by_name[load.recipe].stages) + 1
    after = 0 if stage == last else stage + 1
    begin, end = (any_of(stations_of(problem, load.recipe, one)) for one in (stage, after))
    whose = f"a load of {load.recipe}" if load.enters else f"load {load.number}"
    if here is not None:
        begin = problem.stations[here].name
    return f"from {begin} to {end}", whose


def stuck_words(state: LineState, stuck: Sequence[tuple[str, str]]) -> str:
    """That loads have no way, and what can be done where a hoist is out of service."""
    by_way: dict[str, dict[str, None]] = {}
    for way, whose in stuck:
        by_way.setdefault(way, {})[whose] = None
    loads = listed([f"{listed(list(whose))} {way}" for way, whose in by_way.items()])
    if not state.out_of_service:
        return f"No hoist takes {loads}"
    return (
        f"Out of service: {listed(state.out_of_service)}; and no other hoist takes {loads}. Where "
        "it was moved out of the way, correct its position, and perhaps the ranges of the others; "
        "if it was taken off the track, plan with a problem file without it. Else take these loads "
        "out by hand, and out of the state; a tank in which one stays is to be --out-of-service"
    )
