"""The trade-off between cycle time and slack, drawn."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from ...analysis.figures.steps import tick_of
from ...analysis.robust.tradeoff import TradeOff
from ...base.decimals import as_decimal, significant
from ...problem import Problem
from ..drawing.axes import add_footer, figure_of, foot, foot_height, new_figure
from ..drawing.look import own_look
from ..drawing.palette import BOUNDARY, LANE, QUIET, RULE, TEXT
from ..drawing.saving import save_figure
from ..drawing.wording import wrapped
from .table import ONCE

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.transforms import Bbox

SIZE = (8.0, 4.6)


def draw_tradeoff(found: TradeOff, ax: Axes | None = None) -> Axes:
    """The shortest cycle time for each margin, a staircase through the points.

    Between two points as large a margin needs the cycle time of the point to its right,
    or, where points were passed over, at most that. A point that is not proven is hollow.
    Diamonds show how late the tightest start may be at each of these cycle times: less
    than the margin where a window is too narrow for it.

    Parameters
    ----------
    found : TradeOff
        With one point at least.
    ax : matplotlib.axes.Axes, optional
        Where to draw; left out, a figure is made, which does not belong to pyplot.

    Returns
    -------
    matplotlib.axes.Axes
        What was drawn on.
    """
    with own_look([found.problem.name, found.problem.note]):
        if ax is None:
            ax = _new_axes(found.problem)
        _staircase(ax, found)
        _tightest(ax, found)
        _frame(ax, found)
        _label(ax, found)
    return ax


def save_tradeoff(found: TradeOff, path: str | Path) -> None:
    """Write the curve to a PNG, SVG or PDF file.

    Raises
    ------
    InputError
        For an unknown extension or a place that cannot be written.
    """
    save_figure(draw_tradeoff(found).figure, found.problem, path)


def _new_axes(problem: Problem) -> Axes:
    width, above = SIZE
    lines = foot_height(foot(problem, width * 0.96 * 72))
    height = above + lines
    figure = new_figure(width, height)
    add_footer(figure, problem, 0.02 * width, 0.1)
    below = lines + 0.75
    return figure.add_axes((0.1, below / height, 0.79, (height - below - 0.85) / height))


def _staircase(ax: Axes, found: TradeOff) -> None:
    margins = [float(point.margin) for point in found.points]
    cycles = [float(point.cycle_time) for point in found.points]
    ax.step(
        [0.0, *margins],
        [cycles[0], *cycles],
        where="pre",
        color=BOUNDARY,
        linewidth=1.6,
        zorder=3,
        gid="curve",
    )
    for proven, face in ((True, BOUNDARY), (False, "#ffffff")):
        chosen = [n for n, point in enumerate(found.points) if point.proven == proven]
        ax.plot(
            [margins[n] for n in chosen],
            [cycles[n] for n in chosen],
            linestyle="none",
            marker="o",
            markersize=6,
            markerfacecolor=face,
            markeredgecolor=BOUNDARY,
            zorder=4,
            gid="proven" if proven else "not-proven",
        )


def _tightest(ax: Axes, found: TradeOff) -> None:
    """How late the tightest start may be at each point; nothing where there is no limit."""
    limited = [point for point in found.points if point.tightest is not None]
    if limited:
        ax.plot(
            [float(point.tightest or 0) for point in limited],
            [float(point.cycle_time) for point in limited],
            linestyle="none",
            marker="D",
            markersize=5,
            markerfacecolor=LANE[1],
            markeredgecolor=TEXT,
            markeredgewidth=1,
            zorder=4.5,
            gid="tightest",
        )


def _label(ax: Axes, found: TradeOff) -> None:
    """The figures beside each point, within the axes and clear of the curve and each other.

    Left out where there are too many to read. The curve runs to the left of a point and up
    from it, so above on the left and below on the right are clear.
    """
    if len(found.points) > 12:
        return
    inside, unit = ax.get_window_extent(), found.problem.unit
    boxes = _signs(ax, found)
    for point in found.points:
        tick = tick_of(point.schedule)
        margin = as_decimal(point.margin, tick, "down")
        text = f"{margin:f} {unit} at {as_decimal(point.cycle_time, tick):f} {unit}"
        place = (float(point.margin), float(point.cycle_time))
        for side in _SIDES:
            label = ax.annotate(
                text, place, **side, textcoords="offset points", fontsize=7, color=TEXT,
                parse_math=False, zorder=5, gid="point",
            )  # fmt: skip
            box = label.get_window_extent()
            within = inside.x0 <= box.x0 and box.x1 <= inside.x1 and inside.y0 <= box.y0
            if within and box.y1 <= inside.y1 and not any(box.overlaps(b) for b in boxes):
                boxes.append(box)
                break
            label.remove()


def _signs(ax: Axes, found: TradeOff) -> list[Bbox]:
    """Where the diamonds are, in pixels."""
    from matplotlib.transforms import Bbox

    half = 3 / 72 * figure_of(ax).dpi
    boxes = []
    for point in found.points:
        if point.tightest is not None:
            x, y = ax.transData.transform((float(point.tightest), float(point.cycle_time)))
            boxes.append(Bbox.from_extents(x - half, y - half, x + half, y + half))
    return boxes


_SIDES: tuple[dict[str, Any], ...] = (
    {"xytext": (-6, 5), "ha": "right", "va": "bottom"},
    {"xytext": (7, -5), "ha": "left", "va": "top"},
    {"xytext": (-6, -6), "ha": "right", "va": "top"},
)


def _frame(ax: Axes, found: TradeOff) -> None:
    unit = found.problem.unit
    once = ONCE[found.measure]
    ax.set_xlabel(
        f"dots: margin where windows are wide enough; diamonds: tightest start, {once} [{unit}]",
        color=TEXT,
    )
    ax.set_ylabel(f"min. cycle time [{unit}]", color=TEXT)
    ax.margins(x=0.08, y=0.15)
    ax.set_xlim(left=min(0.0, ax.get_xlim()[0]))
    ax.set_facecolor(LANE[1])
    ax.grid(color=RULE, linewidth=0.6)
    ax.set_axisbelow(True)
    ax.tick_params(color=QUIET, labelcolor=TEXT)
    ax.ticklabel_format(useOffset=False, style="plain")
    for spine in ax.spines.values():
        spine.set_color(QUIET)
    _percent_axis(ax, found)
    hollow = "" if all(point.proven for point in found.points) else "   ·   hollow: not proved"
    facts = f"{found.measure} and cycle time, degree {found.shortest.degree}{hollow}"
    place: dict[str, Any] = {"xycoords": "axes fraction", "textcoords": "offset points"}
    ax.annotate(
        wrapped(found.problem.name, 70).split("\n")[0],
        (0, 1),
        xytext=(0, 24),
        fontsize=12,
        fontweight="bold",
        color=TEXT,
        parse_math=False,
        **place,
    )
    ax.annotate(facts, (0, 1), xytext=(0, 9), fontsize=8.5, color=TEXT, **place)


def _percent_axis(ax: Axes, found: TradeOff) -> None:
    """The same scale as percent above the shortest cycle."""
    least = float(found.least_cycle)

    def percent(time: Any) -> Any:
        return (time / least - 1) * 100

    def time_of(percent: Any) -> Any:
        return (percent / 100 + 1) * least

    other = ax.secondary_yaxis("right", functions=(percent, time_of))
    # The scale runs a little below the shortest cycle, where there is nothing to read.
    other.yaxis.set_major_formatter(_percent)
    other.set_ylabel("above the shortest cycle [%]", color=TEXT)
    other.tick_params(color=QUIET, labelcolor=TEXT, length=0)


def _percent(share: float, _: object = None) -> str:
    """A share above the shortest cycle; nothing below it, but for noise."""
    return "" if share < -1e-9 else significant(max(0.0, share), 3)
