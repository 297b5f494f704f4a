"""The ways of several hoists for the player: where each is at any time of a cycle.

Positions are the checker's, corner by corner; the player draws straight lines between them.
"""

from __future__ import annotations

from typing import Any

from ...checker.courses import courses
from .case import Case
from .motion import number_of


def ways(case: Case) -> list[dict[str, Any]]:
    """Name and way of each of several hoists, in track order; nothing where there is one.

    A way is a list of ``[kind, corners]``, kind "loaded", "empty" or "waiting", corners
    ``[time, position]`` with times from the start of a cycle, some before it or after its end.
    A hoist that makes no move has none, and stands at an end of the track.
    """
    if len(case.problem.hoists) == 1:
        return []
    found: list[dict[str, Any]] = [{"name": hoist.name, "way": []} for hoist in case.problem.hoists]
    for course in courses(case.replay):
        corners = [[number_of(time), number_of(place)] for time, place in course.points]
        found[course.hoist]["way"].append([course.kind, corners])
    return [one for one in found if one["way"]]
