"""Whether several hoists can be where a state of the line says."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

from ..base.errors import InputError
from ..base.numbers.decimals import told
from ..problem import Problem
from ..problem.hoists import reach, track_ends
from .state import Between, HoistAt, LineState


def check_hoists(problem: Problem, state: LineState) -> None:
    """Refuse hoists that are not those of the line, or not where they can be.

    Raises
    ------
    InputError
        For the first thing that is wrong.
    """
    if state.hoist is not None:
        raise InputError(
            "a table for each hoist, with its name",
            field="hoist",
            way_out='Write [[hoist]] for each, and below it name = "...", station = "..." and '
            "free_in = 0.",
        )
    names = [hoist.name for hoist in problem.hoists]
    given = [hoist.name for hoist in state.hoists]
    if not given and state.empty:
        return
    if given != names:
        raise InputError(
            f"the hoists of the line in track order, {', '.join(str(name) for name in names)}",
            field="hoist",
            value=", ".join(str(name) for name in given) or "none",
            way_out="Where there are loads in the line, or one hoist is told, all are needed.",
        )
    for number, hoist in enumerate(state.hoists):
        _check_place(problem, hoist, number)
    if len(state.out_of_service) == len(names):
        raise InputError("a hoist in service, as there are moves to be made", field="hoist")
    assert problem.track is not None
    clearance = Fraction(problem.track.clearance)
    for one, other in pairwise(state.hoists):
        left, right = begin_of(problem, one), begin_of(problem, other)
        if right - left < clearance:
            raise InputError(
                f"at least {told(clearance)} {problem.length_unit} between {one.name} and "
                f"{other.name}, the clearance",
                field=f"hoist {other.name}, position",
                value=told(right),
                way_out=f"{one.name} is at {told(left)} {problem.length_unit}; correct where "
                "they are.",
            )


def _check_place(problem: Problem, hoist: HoistAt, number: int) -> None:
    field = f"hoist {hoist.name}"
    if not hoist.station and (hoist.position is None or hoist.carries is not None):
        raise InputError(
            "the station where it is free next, or sets its load down", field=f"{field}, station"
        )
    if hoist.station and hoist.station not in problem.station_by_name:
        return  # told elsewhere
    low, high = reach(problem, number)
    if hoist.out_of_service:
        _check_stays(hoist, field)
        low, high = track_ends(problem)  # people may have pushed it out of its range
    for key, at in (("position", begin_of(problem, hoist)), ("station", end_of(problem, hoist))):
        if not low <= at <= high:
            where = "on the track" if hoist.out_of_service else f"that {hoist.name} can reach"
            raise InputError(
                f"a place {where}, from {low:f} to {high:f} {problem.length_unit}",
                field=f"{field}, {key if getattr(hoist, key) else 'position'}",
                value=told(at),
                way_out="Correct where it is, or its range in the problem file.",
            )
    way = abs(end_of(problem, hoist) - begin_of(problem, hoist))
    speeds = [
        Fraction(motion.speed)
        for motion in (problem.hoists[number].loaded, problem.hoists[number].empty)
        if motion is not None
    ]
    if way > max(Fraction(0), hoist.free_in.least) * max(speeds):
        raise InputError(
            f"at least the time that {hoist.name} takes to {hoist.station}",
            field=f"{field}, free_in",
            value=told(hoist.free_in.least),
            way_out="Correct its position, or the time until it is free at the station.",
        )


def _check_stays(hoist: HoistAt, field: str) -> None:
    """A hoist out of service has no time at which it is free, and carries nothing."""
    if hoist.carries is not None:
        raise InputError(
            "no load on a hoist that is out of service",
            field=f"{field}, carries",
            value=hoist.carries.recipe,
            way_out="Nobody sets it down: take it off by hand, and leave it out of the state, or "
            "say where it stands.",
        )
    if hoist.free_in != Between.of(0):
        raise InputError(
            "none, as it is out of service and stays where it is", field=f"{field}, free_in"
        )
    if hoist.station and hoist.position is not None:
        raise InputError("its station or its position, where it stays", field=field)


def begin_of(problem: Problem, hoist: HoistAt) -> Fraction:
    """The position of a hoist at the moment of the state."""
    return end_of(problem, hoist) if hoist.position is None else hoist.position


def end_of(problem: Problem, hoist: HoistAt) -> Fraction:
    """The position at which a hoist is free next."""
    at = problem.station_by_name.get(hoist.station)
    if at is not None and at.position is not None:
        return Fraction(at.position)
    assert hoist.position is not None
    return hoist.position
