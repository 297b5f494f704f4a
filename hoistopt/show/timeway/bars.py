"""Draw the carriers' stays and the window of each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from ...analysis.figures.dwells import Margin
from ..drawing.palette import HOIST, NO_MARGIN, REST, SMALL_MARGIN, TEXT, Paint
from .lanes import BAR, WINDOW, Lane, window_levels
from .scene import Bar

if TYPE_CHECKING:
    from matplotlib.axes import Axes


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
        if bar.rested is not None:
            rest = Rectangle(
                (float(bar.until), lanes[bar.station].slot(row)),
                float(bar.rested - bar.until),
                BAR,
                **REST,
                zorder=2.5,
            )
            rest.set_gid(f"rest-{number}")
            ax.add_patch(rest)
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

    The line ends at the maximum, also where that lies beyond the bar; without a maximum it
    runs along with the bar and has no mark at its end. It hangs on a stem from its own bar.
    A sign of its own stands behind a maximum that leaves no margin, or a small one.
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
    _stems(ax, bars, rows, levels, lanes)
    ax.plot(
        [float(bar.least) for bar in bars],
        levels,
        **MIN_MARK,
        zorder=5.5,
        gid="min",
        label="_min",
    )
    ended = [(bar.most, level) for bar, level in zip(bars, levels, strict=True)]
    ax.plot(
        [float(most) for most, _ in ended if most is not None],
        [level for most, level in ended if most is not None],
        **MAX_MARK,
        zorder=5.5,
        gid="max",
        label="_max",
    )
    _margins(ax, bars, levels)


def _stems(
    ax: Axes,
    bars: Sequence[Bar],
    rows: Sequence[int],
    levels: Sequence[float],
    lanes: Mapping[str, Lane],
) -> None:
    """From each bar down to where its window begins, to tell whose window it is."""
    xs: list[float] = []
    ys: list[float] = []
    for bar, row, level in zip(bars, rows, levels, strict=True):
        at = float(min(bar.least, bar.until))
        xs += [at, at, float("nan")]
        ys += [lanes[bar.station].slot(row) + BAR, level, float("nan")]
    ax.plot(xs, ys, color=TEXT, linewidth=0.8, zorder=2, gid="stems", label="_stems")


def _margins(ax: Axes, bars: Sequence[Bar], levels: Sequence[float]) -> None:
    """A sign just behind each maximum that a dwell comes up to, or close to."""
    from matplotlib.patheffects import withStroke
    from matplotlib.transforms import ScaledTranslation

    behind = ax.transData + ScaledTranslation(6.5 / 72, 0, ax.figure.dpi_scale_trans)
    for kind, style in MARGIN_MARKS.items():
        found = [(b.most, y) for b, y in zip(bars, levels, strict=True) if b.margin == kind]
        ax.plot(
            [float(most) for most, _ in found if most is not None],
            [level for most, level in found if most is not None],
            **style,
            transform=behind,
            path_effects=[withStroke(linewidth=3, foreground="#ffffff")],
            zorder=5.6,
            gid=f"margin-{kind}",
            label=f"_margin-{kind}",
        )


# The triangle's tip is where the minimum is reached, so that it never covers the maximum.
MIN_MARK: dict[str, Any] = {
    "linestyle": "none",
    "marker": 5,
    "markersize": 4.6,
    "markerfacecolor": TEXT,
    "markeredgecolor": "none",
}
MAX_MARK: dict[str, Any] = {
    "linestyle": "none",
    "marker": "|",
    "markersize": 5.2,
    "markeredgewidth": 2.0,
    "markeredgecolor": TEXT,
}
MARGIN_MARKS: dict[Margin, dict[str, Any]] = {
    "none": {
        "linestyle": "none",
        "marker": "^",
        "markersize": 6.5,
        "markerfacecolor": NO_MARGIN,
        "markeredgecolor": NO_MARGIN,
    },
    "small": {
        "linestyle": "none",
        "marker": "^",
        "markersize": 6.0,
        "markerfacecolor": "#ffffff",
        "markeredgecolor": SMALL_MARGIN,
        "markeredgewidth": 1.3,
    },
}
"""Filled and hollow, so that grey print tells them apart."""
