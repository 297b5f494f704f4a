"""What each of several hoists does in a programme, and which motion goes before which.

The argument of :mod:`..releases` holds as it stands: where a motion leads towards another hoist
that comes near later, there is a next one that leads away, as a hoist stays where it is after its
last motion, and before its first.
"""

from __future__ import annotations

from collections.abc import Sequence

from ....checker.programme.course import Course
from ....checker.programme.ways_once import Way, ways_of
from ..motions import Motion, motion_of
from ..ordered import Ordered, ordered_on


def motions_once(course: Course) -> list[list[Motion]]:
    """The motions of every hoist in a programme, in track order and in order of time.

    Travels of no length are left out. A hoist that does nothing has none. Of a programme that
    goes on as a cycle the ways to the first moves of the next cycle are told too.
    """
    return [[] if way is None else _motions(course, way) for way in ways_of(course)]


def _motions(course: Course, way: Way) -> list[Motion]:
    parts = {run.number: run.parts for run in course.runs}
    return [
        motion_of(way.hoist, doing, parts[doing.number] if doing.step else None)
        for doing in way.doings
        if doing.step or doing.here != doing.there
    ]


def horizon(motions: Sequence[Sequence[Motion]]) -> int:
    """A time after which nothing is made any more, in grid time."""
    return 1 + max((motion.ready for made in motions for motion in made), default=0)


def ordered_once(course: Course, motions: Sequence[Sequence[Motion]]) -> list[Ordered]:
    """Which motions go before which others, each once."""
    # As in a cycle that is longer than all of it; what goes before in another cycle is nothing.
    found = ordered_on(course.table, motions, horizon(motions))
    return [pair for pair in found if not pair.cycles]
