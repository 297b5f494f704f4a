"""Loads an hour and stays out of window over time, with the stops, as a run chart."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ...base.text import counted
from ...plant.judging.judge import JudgedLog
from ...plant.judging.trends import Stretch
from ..drawing.axes import add_footer, finish_axes, foot, foot_height, new_figure
from ..drawing.look import own_look
from ..drawing.palette import BOUNDARY, FILLS, QUIET, TEXT, WRONG
from .dwells import head, names_of
from .time_axis import dated, moments

if TYPE_CHECKING:
    import numpy as np
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

# Sizes in inches.
WIDTH, PANEL, BETWEEN, ABOVE, BELOW = 11.0, 2.1, 0.5, 0.9, 0.55
MINUTE = 60_000_000
"""A minute in microseconds."""
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
    spans = _spans(stretches, minutes)
    begins, ends = (moments(side) for side in zip(*spans, strict=True))
    with own_look(names_of(found)):
        figure = new_figure(WIDTH, height)
        loads, out = (
            figure.add_axes((0.07, bottom / height, 0.9, PANEL / height))
            for bottom in (below + PANEL + BETWEEN, below)
        )
        filled = _with_gaps(begins, ends, _rates(found, spans))
        loads.stairs(*filled, color=TEXT, linewidth=1.2, baseline=None, gid="loads", zorder=3)
        for name, colour, pattern in (("over", WRONG, ""), ("under", FILLS[1], "////")):
            counts = np.array([getattr(stretch, name) for stretch in stretches])
            base = [0] * len(stretches)
            if name == "under":
                base = [stretch.over for stretch in stretches]
            out.bar(
                begins, counts, width=ends - begins, bottom=base, align="edge", color=colour,
                hatch=pattern, edgecolor=TEXT if pattern else colour, linewidth=0.3,
                label=f"{name} the {'maximum' if name == 'over' else 'minimum'}", zorder=3,
                gid=f"stays-{name}",
            )  # fmt: skip
        for ax, label in ((loads, "loads out an hour"), (out, "stays out of window")):
            finish_axes(ax)
            _stops(ax, found)
            ax.set_ylabel(label, fontsize=8, color=QUIET)
            ax.set_ylim(bottom=0)
            ax.set_xlim(begins[0], ends[-1])
            dated(ax, found.log.zone)
        out.yaxis.set_major_locator(MaxNLocator(integer=True))
        out.legend(loc="upper right", fontsize=7, frameon=False, labelcolor=TEXT, ncols=3)
        stopped = f"{counted(len(found.running.stops), 'stop')} as bands"
        head(figure, found, f"run chart, a step is {_words(minutes)}   ·   {stopped}")
        add_footer(figure, problem, 0.02 * WIDTH, 0.1)
    return figure


def _spans(stretches: Sequence[Stretch], minutes: int) -> list[tuple[int, int]]:
    """Begin and end of each stretch, in microseconds UTC.

    In the night of a clock change a day has 23 or 25 hours, and a step may be cut short: a
    stretch ends where the next one begins, if that is about where it would end by itself.
    """
    width = minutes * MINUTE
    begins = [stretch.begin or 0 for stretch in stretches]
    following = [*begins[1:], begins[-1] + width]
    return [
        (begin, then if 2 * (then - begin) < 3 * width else begin + width)
        for begin, then in zip(begins, following, strict=True)
    ]


def _rates(found: JudgedLog, spans: Sequence[tuple[int, int]]) -> list[float]:
    """Loads an hour of each stretch; the first and the last may be seen in part only."""
    times = found.log.frame.get_column("time")
    first, last = int(str(times.min())), int(str(times.max()))
    rates = []
    for stretch, (begin, end) in zip(found.chart[1], spans, strict=True):
        part = min(end, last) - max(begin, first)
        # Of a few moments nobody can tell a rate.
        rates.append(60 * MINUTE * stretch.loads / max(part, (end - begin) / 4))
    return rates


def _with_gaps(
    begins: np.ndarray, ends: np.ndarray, values: Sequence[float]
) -> tuple[np.ndarray, np.ndarray]:
    """Values and edges of steps, with 0 between stretches where the log has nothing."""
    import numpy as np

    steps, edges = [values[0]], [begins[0], ends[0]]
    for begin, end, value in zip(begins[1:], ends[1:], values[1:], strict=True):
        if begin > edges[-1]:
            steps.append(0.0)
            edges.append(begin)
        steps.append(value)
        edges.append(end)
    return np.array(steps), np.array(edges)


def _stops(ax: Axes, found: JudgedLog) -> None:
    """A band for each stop, darker where loads stood in the tanks."""
    stops = sorted(found.running.stops, key=lambda stop: -stop.length)[:MOST_STOPS]
    for stop in stops:
        begin, end = moments([stop.begin, stop.end])
        ax.axvspan(
            begin, end, color=BOUNDARY, alpha=0.45 if stop.inside else 0.15, linewidth=0.4,
            zorder=1, gid="stop",
        )  # fmt: skip


def _words(minutes: int) -> str:
    for size, name in ((10080, "week"), (1440, "day"), (60, "h")):
        if minutes % size == 0:
            return f"{minutes // size} {name}"
    return f"{minutes} min"
