"""Where a state has each of several hoists, and what the first moves wait for."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

from ..base.errors import InfeasibleError
from ..problem import Problem
from ..schedule import LineState
from ..schedule.state_hoists import begin_of, end_of
from .data import Instance
from .finite import Begin
from .several import Path, path_of
from .times import HoistTimes


def begins_of(problem: Problem, state: LineState, pattern: Instance) -> tuple[Begin, ...]:
    """Where each hoist is at first, in track order; none where the state does not tell.

    Raises
    ------
    InfeasibleError
        When two of them may be too close before they are free.
    """
    several, grid = pattern.several, pattern.ticks_per_unit
    if several is None or not state.hoists:
        return ()
    sources = {place for move in pattern.moves for place in move.sources}
    found = []
    for hoist, at in enumerate(state.hoists):
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
            times.empty_from(there, station.name) if place in sources else 0
            for place, station in enumerate(problem.stations)
        )
        found.append(Begin(hoist, path, free, away))
    for one, other in combinations(found, 2):
        asked = several.apart(one.hoist, one.path, other.hoist, other.path)
        if asked is not None and asked[0] < 0 < asked[1]:
            names = several.names[one.hoist], several.names[other.hoist]
            raise InfeasibleError(
                f"{names[0]} and {names[1]} may come closer than the clearance before they are "
                "free, as the state has them"
            )
    return tuple(found)
