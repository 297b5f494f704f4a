"""What scatter does to dwell times and cycle times, as histograms."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ...base.numbers.decimals import per_cent, significant, told
from ...margin.jitter.answer import Jitter, StageJitter
from ...problem import Problem
from ..drawing.axes import add_footer, foot, foot_height, new_figure
from ..drawing.histogram import draw_bars, draw_limit, edges_of, finish_panel
from ..drawing.look import own_look
from ..drawing.palette import FILLS, TEXT, WRONG
from ..drawing.wording import wrapped

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

# Sizes in inches.
PANEL_WIDTH, PANEL_HEIGHT, COLUMNS = 3.4, 1.9, 4
ABOVE, BELOW = 1.05, 0.5


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
    edges = edges_of(stage.dwells, stage.most)
    inside = stage.dwells if stage.most is None else stage.dwells[stage.dwells <= stage.most]
    draw_bars(ax, inside, edges, FILLS[0], "dwells")
    if stage.share.out:
        outside = stage.dwells[stage.dwells > float(stage.most or 0)]
        draw_bars(ax, outside, edges, WRONG, "too-long")
    for limit, name in ((stage.least, "min"), (stage.most, "max")):
        if limit is not None and edges[0] <= float(limit) <= edges[-1]:
            draw_limit(ax, float(limit), name)
    title = stage.label if stage.most is None else f"{stage.label}: {_share(stage)}"
    finish_panel(ax, wrapped(title, 44), f"dwell [{unit}]")


def draw_cycle_times(found: Jitter, ax: Axes) -> None:
    """The achieved cycle times, one value a cycle, and the planned one.

    Parameters
    ----------
    found : Jitter
    ax : matplotlib.axes.Axes
        Where to draw.
    """
    edges = edges_of(found.cycle_times, found.planned)
    draw_bars(ax, found.cycle_times, edges, FILLS[1], "cycle-times")
    draw_limit(ax, float(found.planned), "planned")
    unit = found.problem.unit
    mean = f"cycle time: mean {significant(found.cycle_time, 6)} {unit}"
    finish_panel(ax, mean, f"cycle time [{unit}]")


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


def _names(problem: Problem) -> list[str]:
    return [problem.name, problem.note, *(s.label for r in problem.recipes for s in r.stages)]


def _share(stage: StageJitter) -> str:
    share = stage.share
    if not share.out:
        return f"none over max. (below {per_cent(share.high, 2)} %)"
    return f"{per_cent(share.share)} % over max."


def _head(figure: Figure, found: Jitter, height: float) -> None:
    unit = found.problem.unit
    facts = [
        f"planned cycle time {told(found.planned)} {unit}",
        f"achieved {significant(found.cycle_time, 6)} {unit}",
        f"{found.runs} runs of {found.cycles} cycles",
        f"{per_cent(found.any_stage.share)} % of loads over max. dwell in some stage",
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
