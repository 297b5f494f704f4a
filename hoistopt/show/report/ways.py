"""The ways of several hoists for the player: where each is at any time.

Positions are the checker's, corner by corner; the player draws straight lines between them.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ...checker import ProgrammeReplay
from ...checker.courses import Course, courses, courses_once
from ...problem import Problem
from ..tables.jsonfile import json_rounded
from .case import Case


def ways(case: Case) -> list[dict[str, Any]]:
    """Number, name and way of each of several hoists, in track order; nothing where there is one.

    A way is a list of ``[kind, corners]``, kind "loaded", "empty" or "waiting", corners
    ``[time, position]`` with times from the start of a cycle, some before it or after its end.
    A hoist that makes no move has none, and stands at an end of the track.
    """
    return _told(case.problem, courses(case.replay)) if len(case.problem.hoists) > 1 else []


def ways_once(seen: ProgrammeReplay) -> list[dict[str, Any]]:
    """As :func:`ways`, of a programme: times from its beginning; ``out`` where out of service."""
    if len(seen.problem.hoists) == 1:
        return []
    out = seen.state.out_of_service
    told = _told(seen.problem, courses_once(seen))
    return [{**one, "out": True} if one["name"] in out else one for one in told]


def _told(problem: Problem, found: Iterable[Course]) -> list[dict[str, Any]]:
    told: list[dict[str, Any]] = [
        {"number": number, "name": hoist.name, "way": []}
        for number, hoist in enumerate(problem.hoists, start=1)
    ]
    for course in found:
        corners = [[json_rounded(time), json_rounded(place)] for time, place in course.points]
        told[course.hoist]["way"].append([course.kind, corners])
    return [one for one in told if one["way"]]
