"""Draw the carriers' stays and the window of each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from ..drawing.palette import HOIST, TEXT, Paint
from ..drawing.wording import rough
from .lanes import BAR, WINDOW, Lane, window_levels
from .path import Crossings
from .scene import Bar, Scene

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_POINTS = 6.8


def draw_bars(
    ax: Axes,
    bars: Sequence[Bar],
    rows: Sequence[int],
    lanes: Mapping[str, Lane],
    paints: Mapping[str, Paint],
) -> None:
    """Every stay as a bar in its place, cut off only by the edges of the axes."""
    from matplotlib.patches import Rectangle

    for number, (bar, row) in enumerate(zip(bars, rows, strict=True)):
        paint = paints[bar.recipe]
        patch = Rectangle(
            (float(bar.since), lanes[bar.station].slot(row)),
            float(bar.until - bar.since),
            BAR,
            facecolor=paint.fill,
            edgecolor=paint.line,
            hatch=paint.pattern or None,
            linewidth=0.8,
            zorder=3,
        )
        patch.set_gid(f"stay-{number}")
        ax.add_patch(patch)
    _hang(ax, bars, rows, lanes)


def _hang(ax: Axes, bars: Sequence[Bar], rows: Sequence[int], lanes: Mapping[str, Lane]) -> None:
    """Thin lines from the hoist's rail to where it sets a carrier down or takes it up."""
    xs: list[float] = []
    ys: list[float] = []
    for bar, row in zip(bars, rows, strict=True):
        lane = lanes[bar.station]
        for time, by_hoist in ((bar.since, bar.brought), (bar.until, bar.fetched)):
            if by_hoist:
                xs += [float(time), float(time), float("nan")]
                ys += [lane.rail, lane.slot(row) + BAR, float("nan")]
    ax.plot(xs, ys, color=HOIST, linewidth=0.9, zorder=4, gid="hangers", label="_hangers")


def draw_windows(
    ax: Axes, bars: Sequence[Bar], rows: Sequence[int], lanes: Mapping[str, Lane]
) -> None:
    """Below each bar, from when and until when its carrier may be lifted.

    The line ends at the greatest time, also where that lies beyond the bar; without a
    greatest time it runs along with the bar and has no mark at its end.
    """
    ends = [max(bar.until, bar.least) if bar.most is None else bar.most for bar in bars]
    levels = [
        lanes[bar.station].slot(row) + WINDOW[level]
        for bar, row, level in zip(bars, rows, window_levels(bars, rows, ends), strict=True)
    ]
    xs: list[float] = []
    ys: list[float] = []
    for bar, level, end in zip(bars, levels, ends, strict=True):
        xs += [float(bar.least), float(end), float("nan")]
        ys += [level, level, float("nan")]
    ax.plot(xs, ys, color=TEXT, linewidth=0.8, zorder=2, gid="windows", label="_windows")
    ax.plot(
        [float(bar.least) for bar in bars],
        levels,
        **LEAST_MARK,
        zorder=5.5,
        gid="least",
        label="_least",
    )
    ended = [(bar.most, level) for bar, level in zip(bars, levels, strict=True)]
    ax.plot(
        [float(most) for most, _ in ended if most is not None],
        [level for most, level in ended if most is not None],
        **MOST_MARK,
        zorder=5.5,
        gid="most",
        label="_most",
    )


LEAST_MARK: dict[str, Any] = {
    "linestyle": "none",
    "marker": ">",
    "markersize": 4.2,
    "markerfacecolor": TEXT,
    "markeredgecolor": "none",
}
MOST_MARK: dict[str, Any] = {
    "linestyle": "none",
    "marker": "|",
    "markersize": 6.5,
    "markeredgewidth": 2.0,
    "markeredgecolor": TEXT,
}


def label_bars(
    ax: Axes,
    scene: Scene,
    rows: Sequence[int],
    lanes: Mapping[str, Lane],
    paints: Mapping[str, Paint],
) -> None:
    """The load's number in each bar, its dwell after it, as far as they fit.

    Where the hoist's path crosses a bar the text stands beside the crossing if it can.
    """
    from matplotlib.patheffects import withStroke

    per_time = ax.bbox.width / ax.figure.dpi * 72 / float(scene.span)
    all_legs = Crossings(scene.legs, lanes)
    loaded = Crossings([leg for leg in scene.legs if leg.kind == "loaded"], lanes)
    for bar, row in zip(scene.bars, rows, strict=True):
        height = lanes[bar.station].slot(row) + BAR / 2
        since, until = max(0.0, float(bar.since)), min(float(scene.span), float(bar.until))
        clear = all_legs.gaps(since, until, height)
        crossed = loaded.gaps(since, until, height)
        short = str(bar.load)
        long = short if bar.dwell is None else f"{short} · {rough(bar.dwell)}"
        # A dashed line through the text is better than no dwell, a solid one is not.
        tries = [(long, clear), (long, crossed), (short, clear), (short, [(since, until)])]
        text, middle = _first_fitting(tries, (since + until) / 2, per_time)
        if text:
            ax.text(
                middle,
                height,
                text,
                fontsize=_POINTS,
                color=TEXT,
                ha="center",
                va="center_baseline",
                zorder=6,
                gid="load",
                parse_math=False,
                path_effects=[withStroke(linewidth=3, foreground=paints[bar.recipe].fill)],
            )


Gaps = list[tuple[float, float]]


def _first_fitting(
    tries: list[tuple[str, Gaps]], wanted: float, per_time: float
) -> tuple[str, float]:
    """The first text that fits in one of its gaps, and the point nearest `wanted` for it."""
    for text, gaps in tries:
        # 0.64 em is the width of a digit in the font used.
        needed = (len(text) * _POINTS * 0.64 + 5) / per_time
        fitting = [gap for gap in gaps if gap[1] - gap[0] >= needed]
        if fitting:
            points = [min(max(wanted, a + needed / 2), b - needed / 2) for a, b in fitting]
            return text, min(points, key=lambda point: abs(point - wanted))
    return "", wanted
