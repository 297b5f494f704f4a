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
    from matplotlib.axes import Axes

_BEYOND = 0.4
"""Rows by which a hoist that stands beyond all stations drawn is beyond them."""
_WORDS = ("circles", "squares", "triangles", "diamonds")


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
    for course in courses_once(seen):
        times = [float(time) for time, _ in course.points]
        ups = [_up(known, place) for _, place in course.points]
        style = style_of(course.kind, course.hoist)
        ax.plot(times, ups, **style, zorder=5 if course.kind == "loaded" else 4, gid=course.kind)
        if course.kind == "loaded":
            ends = [times[0], times[-1]], [ups[0], ups[-1]]
            ax.plot(*ends, **mark_of(course.hoist), zorder=5.5, gid=f"hoist {course.hoist + 1}")
    width = float(seen.finish) / 260
    for time, here, there in approaches_once(seen):
        ax.fill_betweenx(
            [_up(known, here), _up(known, there)],
            float(time) - width, float(time) + width,
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


def hoists_key(problem: Problem) -> str:
    """Which marks are whose, in words; nothing where there is one hoist."""
    if len(problem.hoists) == 1:
        return ""
    named = [
        f"hoist {clean(hoist.name or '')}: {_WORDS[number % len(_WORDS)]}"
        f"{' (hollow)' if number % 2 else ''}"
        for number, hoist in enumerate(problem.hoists)
    ]
    return f"{', '.join(named)}; thick: with a load; shaded: nearest to one another"
