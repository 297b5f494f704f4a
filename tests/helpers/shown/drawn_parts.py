"""Draw the invented lines and take the drawing apart again."""

from __future__ import annotations

from math import isnan
from typing import Any

from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from hoistopt.checker.record import Replay
from hoistopt.show.timeway import draw_timeway
from tests.helpers.shown.drawn_line import twin_line, twin_replay, twin_schedule


def drawn(replay: Replay | None = None, **keywords: Any) -> Axes:
    problem = twin_line()
    seen = replay or twin_replay(problem)
    return draw_timeway(problem, twin_schedule(problem), seen, **keywords)


def rectangles(ax: Axes) -> list[Rectangle]:
    return [
        patch
        for patch in ax.patches
        if isinstance(patch, Rectangle) and (patch.get_gid() or "").startswith("stay-")
    ]


def line_points(ax: Axes, gid: str) -> list[tuple[float, float]]:
    (line,) = [line for line in ax.lines if line.get_gid() == gid]
    return list(zip(line.get_xdata(), line.get_ydata(), strict=True))


def paths(ax: Axes, gid: str) -> list[list[tuple[float, float]]]:
    """The pieces of a line that gaps divide."""
    pieces: list[list[tuple[float, float]]] = [[]]
    for x, y in line_points(ax, gid):
        if isnan(x):
            pieces.append([])
        else:
            pieces[-1].append((x, y))
    return [piece for piece in pieces if piece]


def texts(ax: Axes, gid: str) -> list[str]:
    return [text.get_text() for text in ax.texts if text.get_gid() == gid]
