"""What scatter does to dwell times and cycle times, as histograms."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from ...base.decimals import significant, told
from ...margin.jitter.answer import Jitter, StageJitter
from ...problem import Problem
from ..drawing.axes import add_footer, foot, foot_height, new_figure
from ..drawing.look import own_look
from ..drawing.palette import FILLS, LANE, QUIET, RULE, TEXT, WRONG
from ..drawing.saving import save_figure
from ..drawing.wording import wrapped

if TYPE_CHECKING:
    import numpy as np
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

BARS = 40
# Sizes in inches.
PANEL_WIDTH, PANEL_HEIGHT, COLUMNS = 3.4, 1.9, 4
ABOVE, BELOW = 1.05, 0.5
# Room above each panel for the names of the limits, in points.
_NAMES = 14.0


def draw_dwells(stage: StageJitter, unit: str, ax: Axes) -> None:
    """The dwells of one stage against its window; those over the maximum in a colour of their own.

    Parameters
    ----------
    stage : StageJitter
    unit : str
        Unit of the times.
    ax : matplotlib.axes.Axes
        Where to draw.
    """
    edges = _edges(stage.dwells, stage.most)
    inside = stage.dwells if stage.most is None else stage.dwells[stage.dwells <= stage.most]
    _bars(ax, inside, edges, FILLS[0], "dwells")
    if stage.share.out:
        outside = stage.dwells[stage.dwells > float(stage.most or 0)]
        _bars(ax, outside, edges, WRONG, "too-long")
    for limit, name in ((stage.least, "min"), (stage.most, "max")):
        if limit is not None and edges[0] <= float(limit) <= edges[-1]:
            _limit(ax, float(limit), name)
    title = stage.label if stage.most is None else f"{stage.label}: {_share(stage)}"
    _finish(ax, wrapped(title, 44), f"dwell [{unit}]")


def draw_cycle_times(found: Jitter, ax: Axes) -> None:
    """The achieved cycle times, one value a cycle, and the planned one.

    Parameters
    ----------
    found : Jitter
    ax : matplotlib.axes.Axes
        Where to draw.
    """
    edges = _edges(found.cycle_times, found.planned)
    _bars(ax, found.cycle_times, edges, FILLS[1], "cycle-times")
    _limit(ax, float(found.planned), "planned")
    unit = found.problem.unit
    mean = f"cycle time: mean {significant(found.cycle_time, 6)} {unit}"
    _finish(ax, mean, f"cycle time [{unit}]")


def draw_jitter(found: Jitter) -> Figure:
    """One histogram for each stage with a maximum, and one of the achieved cycle times.

    Where no stage has a maximum, all stages are drawn.

    Parameters
    ----------
    found : Jitter
        What :func:`hoistopt.jitter` came to.

    Returns
    -------
    matplotlib.figure.Figure
        It does not belong to pyplot.
    """
    stages = [stage for stage in found.stages if stage.most is not None] or list(found.stages)
    columns = min(COLUMNS, len(stages) + 1)
    rows = -(-(len(stages) + 1) // columns)
    width = max(7.0, columns * PANEL_WIDTH)
    below = BELOW + foot_height(foot(found.problem, width * 0.96 * 72))
    height = rows * PANEL_HEIGHT + ABOVE + below
    with own_look(_names(found.problem)):
        figure = new_figure(width, height)
        grid = figure.add_gridspec(
            rows,
            columns,
            left=0.06,
            right=0.98,
            top=1 - ABOVE / height,
            bottom=(below + 0.3) / height,
            hspace=0.85,
            wspace=0.28,
        )
        panels = [figure.add_subplot(grid[n // columns, n % columns]) for n in range(len(stages))]
        for stage, ax in zip(stages, panels, strict=True):
            draw_dwells(stage, found.problem.unit, ax)
        draw_cycle_times(
            found, figure.add_subplot(grid[len(stages) // columns, len(stages) % columns])
        )
        _head(figure, found, height)
    return figure


def save_jitter(found: Jitter, path: str | Path) -> None:
    """Write the histograms to a PNG, SVG or PDF file.

    Raises
    ------
    InputError
        For an unknown extension or a place that cannot be written.
    """
    save_figure(draw_jitter(found), found.problem, path)


def _names(problem: Problem) -> list[str]:
    return [problem.name, problem.note, *(s.label for r in problem.recipes for s in r.stages)]


def _edges(values: np.ndarray, limit: Any) -> np.ndarray:
    """Edges of the bars; the limit is one of them if it lies among them."""
    import numpy as np

    low, high = float(values.min()), float(values.max())
    if high - low <= 1e-9 * max(1.0, abs(high)):
        middle = (low + high) / 2
        spread = max(abs(middle) * 0.01, 1e-6)
        return np.linspace(middle - spread, middle + spread, BARS + 1)
    if limit is None or not low < float(limit) < high:
        return np.linspace(low, high, BARS + 1)
    width = (high - low) / BARS
    before = max(1, round((float(limit) - low) / width))
    after = max(1, round((high - float(limit)) / width))
    left = np.linspace(low, float(limit), before + 1)
    return np.concatenate([left, np.linspace(float(limit), high, after + 1)[1:]])


def _bars(ax: Axes, values: np.ndarray, edges: np.ndarray, colour: str, name: str) -> None:
    import numpy as np

    counts, _ = np.histogram(values, edges)
    drawn = ax.stairs(counts, edges, fill=True, facecolor=colour, edgecolor=colour, zorder=3)
    drawn.set_gid(name)


def _limit(ax: Axes, at: float, name: str) -> None:
    """A line with its name above the axes: a minimum's to its left, others' to the right."""
    side = -1 if name == "min" else 1
    ax.axvline(at, color=TEXT, linewidth=1.2, linestyle=(0, (4, 2)), zorder=4, gid=f"limit-{name}")
    ax.annotate(
        name,
        (at, 1),
        xycoords=ax.get_xaxis_transform(),
        xytext=(side, 2),
        textcoords="offset points",
        ha="right" if side < 0 else "left",
        va="bottom",
        gid="limit-name",
        color=TEXT,
        fontsize=7,
        zorder=5,
    )


def _share(stage: StageJitter) -> str:
    share = stage.share
    if not share.out:
        return f"none over max. (below {significant(share.high * 100, 2)} %)"
    return f"{significant(share.share * 100, 3)} % over max."


def _finish(ax: Axes, title: str, label: str) -> None:
    ax.set_title(title, fontsize=8.5, color=TEXT, loc="left", pad=_NAMES)
    ax.set_xlabel(label, fontsize=7.5, color=QUIET)
    ax.set_yticks([])
    ax.set_facecolor(LANE[1])
    ax.margins(x=0.04)
    ax.ticklabel_format(axis="x", useOffset=False, style="plain")
    ax.tick_params(axis="x", color=QUIET, labelcolor=TEXT, labelsize=7, length=3)
    ax.locator_params(axis="x", nbins=6)
    for spine in ax.spines.values():
        spine.set_color(RULE)


def _head(figure: Figure, found: Jitter, height: float) -> None:
    unit = found.problem.unit
    facts = [
        f"planned cycle time {told(found.planned)} {unit}",
        f"achieved {significant(found.cycle_time, 6)} {unit}",
        f"{found.runs} runs of {found.cycles} cycles",
        f"{significant(found.any_stage.share * 100, 3)} % of loads over max. dwell in some stage",
    ]
    scattered = "; ".join(map(str, found.scatters)) or "nothing scatters"
    top = 1 - 0.12 / height
    for text, down, size, weight in (
        (wrapped(found.problem.name, 90).split("\n")[0], 0.0, 12, "bold"),
        ("   ·   ".join(facts), 0.24, 8.5, "normal"),
        (wrapped(scattered, 150).split("\n")[0], 0.41, 7.5, "normal"),
    ):
        figure.text(
            0.02,
            top - down / height,
            text,
            fontsize=size,
            fontweight=weight,
            color=TEXT,
            va="top",
            parse_math=False,
        )
    add_footer(figure, found.problem, 0.02 * figure.get_figwidth(), 0.1)
