"""Dwells of a log against the window of each stage, as histograms."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ...plant.judging.judge import JudgedLog
from ...plant.judging.stages import StageFigures
from ..drawing.axes import add_footer, foot, foot_height, new_figure
from ..drawing.histogram import draw_bars, draw_limit, edges_of, finish_panel
from ..drawing.look import own_look
from ..drawing.palette import FILLS, TEXT, WRONG
from ..drawing.wording import wrapped
from .shown import SECOND, moment

if TYPE_CHECKING:
    import numpy as np
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

# Sizes in inches.
PANEL_WIDTH, PANEL_HEIGHT, COLUMNS = 3.4, 1.9, 4
ABOVE, BELOW = 1.0, 0.5
_OUTER = 0.002
"""Share of the dwells at either end that may lie beyond the bars, where they lie far off."""


def draw_dwells(found: JudgedLog) -> Figure | None:
    """A histogram for each stage with its window; None where no stay was judged.

    Dwells out of the window have a colour of their own. Where a few lie far off, the axis ends
    before them and the panel says how many there are beyond.
    """
    stages = [stage for stage in found.stages if stage.stays]
    if not stages:
        return None
    problem = found.problem
    columns = min(COLUMNS, len(stages))
    rows = -(-len(stages) // columns)
    width = max(7.0, columns * PANEL_WIDTH)
    below = BELOW + foot_height(foot(problem, width * 0.96 * 72))
    height = rows * PANEL_HEIGHT + ABOVE + below
    with own_look(names_of(found)):
        figure = new_figure(width, height)
        grid = figure.add_gridspec(
            rows, columns, left=0.06, right=0.98, top=1 - ABOVE / height,
            bottom=(below + 0.3) / height, hspace=0.85, wspace=0.28,
        )  # fmt: skip
        for n, stage in enumerate(stages):
            ax = figure.add_subplot(grid[n // columns, n % columns])
            _panel(ax, found, stage)
        head(figure, found, "dwells against their windows")
        add_footer(figure, problem, 0.02 * width, 0.1)
    return figure


def _panel(ax: Axes, found: JudgedLog, stage: StageFigures) -> None:
    import numpy as np

    scale = SECOND * float(found.problem.seconds_per_unit)
    least, most = stage.least / scale, None if stage.most is None else stage.most / scale
    dwells = _dwells(found, stage) / scale
    low, high = np.quantile(dwells, [_OUTER, 1 - _OUTER])
    last = least if most is None else most
    room = max(high - low, last - least, 1e-6 * last)
    shown = dwells[(dwells >= min(low, least) - room) & (dwells <= max(high, last) + room)]
    # The window belongs to what is shown, wherever the dwells lie.
    edges = edges_of(np.append(shown, [least, last]), least, most)
    out = (shown < least) | ((shown > most) if most is not None else False)
    draw_bars(ax, shown[~out], edges, FILLS[0], "dwells")
    if out.any():
        draw_bars(ax, shown[out], edges, WRONG, "out-of-window")
    for limit, name in ((least, "min"), (most, "max")):
        if limit is not None:
            draw_limit(ax, limit, name)
    place = stage.place
    share = f"{stage.under} under, {stage.over} over, of {stage.stays}"
    recipe = f"{place.recipe}: " if len(found.problem.recipes) > 1 else ""
    finish_panel(
        ax, wrapped(f"{recipe}{place.stage.label}: {share}", 44), _axis(found, dwells, shown)
    )


def _axis(found: JudgedLog, dwells: np.ndarray, shown: np.ndarray) -> str:
    beyond = len(dwells) - len(shown)
    more = f"; {beyond} beyond" if beyond else ""
    return f"dwell [{found.problem.unit}]{more}"


def _dwells(found: JudgedLog, stage: StageFigures) -> np.ndarray:
    """The dwells of a stage that were judged, in microseconds."""
    import polars as pl

    place = found.stays.places.index(stage.place)
    frame = found.stays.frame.filter(
        (pl.col("place") == place) & (pl.col("verdict") != "not judged")
    )
    return frame.get_column("dwell").to_numpy()


def names_of(found: JudgedLog) -> list[str]:
    """What the user named and a picture may show."""
    problem = found.problem
    carriers = found.log.frame.get_column("carrier").unique().drop_nulls()
    return [
        problem.name,
        problem.note,
        *problem.station_by_name,
        *(stage.label for recipe in problem.recipes for stage in recipe.stages),
        *(recipe.name for recipe in problem.recipes),
        *carriers.head(1000),
    ]


def head(figure: Figure, found: JudgedLog, what: str) -> None:
    """Name of the line, what is shown, and of which time, at the upper edge of a figure."""
    height = figure.get_size_inches()[1]
    times, zone = found.log.frame.get_column("time"), found.log.zone
    begin, end = (str(moment(int(str(time)), zone)) for time in (times.min(), times.max()))
    facts = [f"log from {begin} to {end}", what]
    for text, down, size, weight in (
        (wrapped(found.problem.name, 90).split("\n")[0], 0.12, 12, "bold"),
        ("   ·   ".join(facts), 0.36, 8.5, "normal"),
    ):
        figure.text(
            0.02, 1 - down / height, text, fontsize=size, fontweight=weight, color=TEXT, va="top",
            parse_math=False,
        )  # fmt: skip
