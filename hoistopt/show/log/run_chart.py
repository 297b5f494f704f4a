"""Loads an hour and stays out of window over time, with the stops, as a run chart."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ...plant.judge import JudgedLog
from ...plant.trends import local
from ..drawing.axes import add_footer, finish_axes, foot, foot_height, new_figure
from ..drawing.look import own_look
from ..drawing.palette import BOUNDARY, FILLS, QUIET, TEXT, WRONG
from ..drawing.wording import counted
from .dwells import head, names_of

if TYPE_CHECKING:
    import numpy as np
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

# Sizes in inches.
WIDTH, PANEL, BETWEEN, ABOVE, BELOW = 11.0, 2.1, 0.5, 0.9, 0.55
MINUTE = 60_000_000
"""In microseconds."""
MOST_STOPS = 2000
"""Stops that are drawn, the longest ones."""


def draw_run_chart(found: JudgedLog) -> Figure | None:
    """Loads an hour above, stays out of window below, stops as bands; None without either."""
    import numpy as np
    from matplotlib.ticker import MaxNLocator

    minutes, stretches = found.chart
    if not stretches:
        return None
    problem = found.problem
    below = BELOW + foot_height(foot(problem, WIDTH * 0.96 * 72))
    height = 2 * PANEL + BETWEEN + ABOVE + below
    begins = np.array([stretch.begin for stretch in stretches], "datetime64[us]")
    width = np.timedelta64(minutes, "m")
    with own_look(names_of(found)):
        figure = new_figure(WIDTH, height)
        loads, out = (
            figure.add_axes((0.07, bottom / height, 0.9, PANEL / height))
            for bottom in (below + PANEL + BETWEEN, below)
        )
        rates = _rates(found, minutes)
        edges = np.concatenate([begins, begins[-1:] + width])
        filled = _with_gaps(begins, width, np.array(rates))
        loads.stairs(*filled, color=TEXT, linewidth=1.2, baseline=None, gid="loads", zorder=3)
        for name, colour, pattern in (("over", WRONG, ""), ("under", FILLS[1], "////")):
            counts = np.array([getattr(stretch, name) for stretch in stretches])
            base = [0] * len(stretches)
            if name == "under":
                base = [stretch.over for stretch in stretches]
            out.bar(
                begins, counts, width=width, bottom=base, align="edge", color=colour,
                hatch=pattern, edgecolor=TEXT if pattern else colour, linewidth=0.3,
                label=f"{name} the {'maximum' if name == 'over' else 'minimum'}", zorder=3,
                gid=f"stays-{name}",
            )  # fmt: skip
        for ax, label in ((loads, "loads out an hour"), (out, "stays out of window")):
            finish_axes(ax)
            _stops(ax, found)
            ax.set_ylabel(label, fontsize=8, color=QUIET)
            ax.set_ylim(bottom=0)
            ax.set_xlim(edges[0], edges[-1])
            dated(ax)
        out.yaxis.set_major_locator(MaxNLocator(integer=True))
        out.legend(loc="upper right", fontsize=7, frameon=False, labelcolor=TEXT, ncols=3)
        stopped = f"{counted(len(found.running.stops), 'stop')} as bands"
        head(figure, found, f"run chart, a step is {_words(minutes)}   ·   {stopped}")
        add_footer(figure, problem, 0.02 * WIDTH, 0.1)
    return figure


def _rates(found: JudgedLog, minutes: int) -> list[float]:
    """Loads an hour of each stretch; the first and the last may be seen in part only."""
    import polars as pl

    log = found.log
    times = local(pl.col("time"), log.zone).cast(pl.Int64)
    first, last = log.frame.select(first=times.min(), last=times.max()).row(0)
    width = minutes * MINUTE
    rates = []
    for stretch in found.chart[1]:
        assert stretch.begin is not None
        part = min(stretch.begin + width, last) - max(stretch.begin, first)
        # Of a few moments nobody can tell a rate.
        rates.append(60 * MINUTE * stretch.loads / max(part, width / 4))
    return rates


def _with_gaps(
    begins: np.ndarray, width: np.timedelta64, values: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Values and edges of steps, with 0 in stretches of which the log has nothing."""
    import numpy as np

    number = ((begins - begins[0]) // width).astype(int)
    whole = np.zeros(number[-1] + 1)
    whole[number] = values
    return whole, begins[0] + np.arange(number[-1] + 2) * width


def _stops(ax: Axes, found: JudgedLog) -> None:
    """A band for each stop, darker where loads stood in the tanks."""
    import polars as pl

    stops = sorted(found.running.stops, key=lambda stop: -stop.length)[:MOST_STOPS]
    if not stops:
        return
    frame = pl.DataFrame({"begin": [s.begin for s in stops], "end": [s.end for s in stops]})
    zone = found.log.zone
    moments = frame.select(local(pl.col("begin"), zone), local(pl.col("end"), zone))
    for (begin, end), stop in zip(moments.rows(), stops, strict=True):
        ax.axvspan(
            begin, end, color=BOUNDARY, alpha=0.45 if stop.inside else 0.15, linewidth=0.4,
            zorder=1, gid="stop",
        )  # fmt: skip


def dated(ax: Any) -> None:
    """Dates and times of day along an axis."""
    from matplotlib.dates import AutoDateLocator, ConciseDateFormatter

    locator = AutoDateLocator(maxticks=12)
    ax.xaxis.set_major_locator(locator)
    ax.xaxis.set_major_formatter(ConciseDateFormatter(locator))


def _words(minutes: int) -> str:
    for size, name in ((10080, "week"), (1440, "day"), (60, "h")):
        if minutes % size == 0:
            return f"{minutes // size} {name}"
    return f"{minutes} min"
