"""Several hoists in the diagram of a programme: their ways, told apart without colour."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from ...base.text import clean
from ...checker import ProgrammeReplay
from ...checker.courses import approaches_once, courses_once
from ...problem import Problem
from ..drawing.palette import NEAR
from ..timeway.path import mark_of, style_of

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

_BEYOND = 0.4
"""Rows by which a hoist that stands beyond all stations drawn is beyond them."""


def draw_ways(ax: Axes, seen: ProgrammeReplay, middle: Mapping[str, float]) -> None:
    """Each hoist's way by its positions, with marks and dashes of its own; where two are
    nearest to one another the distance is shaded.

    Parameters
    ----------
    middle : mapping of str to float
        How far up the rows of each station drawn lie, in the middle.
    """
    at = seen.problem.station_by_name
    known = sorted({Fraction(at[name].position or 0): up for name, up in middle.items()}.items())
    lifts = {(run.hoist, run.start) for run in seen.runs}
    for course in courses_once(seen):
        times = [float(time) for time, _ in course.points]
        ups = [_up(known, place) for _, place in course.points]
        style = style_of(course.kind, course.hoist)
        ax.plot(times, ups, **style, zorder=5 if course.kind == "loaded" else 4, gid=course.kind)
        if course.kind == "loaded":
            # A load that hangs at the beginning was not lifted there.
            lifted = (seen.problem.hoists[course.hoist].name, course.points[0][0]) in lifts
            ends = ((times[0], ups[0]), (times[-1], ups[-1]))[0 if lifted else 1 :]
            marked = [time for time, _ in ends], [up for _, up in ends]
            ax.plot(*marked, **mark_of(course.hoist), zorder=5.5, gid=f"hoist {course.hoist + 1}")
    width = float(seen.finish) / 260
    for near in approaches_once(seen):
        time = float(near.time)
        ax.fill_betweenx(
            [_up(known, near.here), _up(known, near.there)], time - width, time + width,
            color=NEAR, alpha=0.45, linewidth=0, zorder=4.5, gid="near",
        )  # fmt: skip


def _up(known: Sequence[tuple[Fraction, float]], place: Fraction) -> float:
    """How far up a position is drawn, between the stations on either side of it."""
    after = bisect_left(known, (place, float("-inf")))
    if after == len(known):
        return known[-1][1] + _BEYOND
    if known[after][0] == place:
        return known[after][1]
    if not after:
        return known[0][1] - _BEYOND
    (left, low), (right, high) = known[after - 1], known[after]
    return low + (high - low) * float((place - left) / (right - left))


def hoist_signs(problem: Problem) -> list[Artist]:
    """Whose each mark is, for a legend; nothing where there is one hoist."""
    from matplotlib.lines import Line2D

    if len(problem.hoists) == 1:
        return []
    return [
        Line2D([], [], **mark_of(number), label=clean(f"hoist {hoist.name}"))
        for number, hoist in enumerate(problem.hoists)
    ]
