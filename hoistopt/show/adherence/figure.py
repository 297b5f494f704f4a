"""Lateness over the log, and what each step costs, as a picture."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import numpy as np

from ...plant.adherence.answer import Adherence
from ..drawing.axes import add_footer, finish_axes, foot, foot_height, key_below, new_figure
from ..drawing.look import own_look
from ..drawing.palette import FILLS, HOIST, QUIET, TEXT, WRONG
from ..drawing.wording import wrapped

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

# Sizes in inches.
_WIDTH, _ABOVE, _BELOW, _LATE, _ROW = 8.6, 0.85, 0.75, 2.6, 0.26
_BETWEEN = 1.0
_MOST_POINTS = 20_000


def draw_adherence(found: Adherence, zone: str | None) -> Figure:
    """Lateness of every start over the time of the log; below it a bar for each step.

    Returns
    -------
    matplotlib.figure.Figure
        It does not belong to pyplot.
    """
    bars = max(1.2, _ROW * len(found.steps))
    below = _BELOW + foot_height(foot(found.problem, _WIDTH * 0.94 * 72))
    height = _ABOVE + _LATE + _BETWEEN + bars + below
    with own_look([found.problem.name, found.problem.note]):
        figure = new_figure(_WIDTH, height)
        left, wide = 1.9 / _WIDTH, (_WIDTH - 2.1) / _WIDTH
        top = figure.add_axes((left, (below + bars + _BETWEEN) / height, wide, _LATE / height))
        _draw_late(top, found, zone)
        _draw_costs(figure.add_axes((left, below / height, wide, bars / height)), found)
        figure.text(
            0.03, 1 - 0.15 / height, wrapped(found.problem.name, 90).split("\n")[0], fontsize=12,
            fontweight="bold", color=TEXT, va="top", parse_math=False,
        )  # fmt: skip
        add_footer(figure, found.problem, 0.03 * _WIDTH, 0.1)
    return figure


def _draw_late(ax: Axes, found: Adherence, zone: str | None) -> None:
    from matplotlib.dates import AutoDateLocator, ConciseDateFormatter, date2num

    where = ZoneInfo(zone) if zone else UTC
    turn = np.flatnonzero(found.positions >= 0)
    few = turn[:: max(1, len(turn) // _MOST_POINTS)]
    starts = found.moves.get_column("start").to_numpy()

    def moments(of: np.ndarray) -> list[float]:
        return [float(date2num(datetime.fromtimestamp(t / 1e6, where))) for t in starts[of]]

    ax.plot(moments(few), found.late[few], color=HOIST, linewidth=1.1, label="late", zorder=3)
    stops = np.flatnonzero(found.stopped)
    if len(stops):
        ax.plot(
            moments(stops), found.late[stops], "v", color=WRONG, markersize=6, label="after a stop",
            zorder=4,
        )  # fmt: skip
    turned = np.array(
        [each.made for each in found.deviations if each.made is not None and each.position], int
    )
    if len(turned):
        ax.plot(
            moments(turned), found.late[turned], "D", color=FILLS[1], markeredgecolor=TEXT,
            markeredgewidth=0.6, markersize=4.5, label="out of turn, other station", zorder=4,
        )  # fmt: skip
    locator = AutoDateLocator(tz=where)
    ax.xaxis.set_major_locator(locator)
    ax.xaxis.set_major_formatter(ConciseDateFormatter(locator, tz=where))
    ax.set_ylabel(f"start after the planned one [{found.problem.unit}]", color=QUIET)
    ax.set_title("Lateness", fontsize=9, color=TEXT, loc="left")
    finish_axes(ax)
    key_below(ax, None, 3)


def _draw_costs(ax: Axes, found: Adherence) -> None:
    rows = np.arange(len(found.steps))
    names = [f"{move.step}  {wrapped(move.between, 28)}" for move in found.planned.moves]
    for shift, values, fill, hatch, name in (
        (-0.19, [step.moved for step in found.steps], FILLS[0], "", "by the move itself"),
        (0.19, [step.waited for step in found.steps], FILLS[1], "////", "by waiting before it"),
    ):
        ax.barh(
            rows + shift, values, height=0.36, color=fill, hatch=hatch, edgecolor=TEXT,
            linewidth=0.5, label=name, zorder=3,
        )  # fmt: skip
    ax.axvline(0, color=TEXT, linewidth=0.8, zorder=4)
    ax.set_yticks(rows, names, fontsize=7)
    ax.invert_yaxis()
    ax.set_title(
        f"Time lost by step, stops left out [{found.problem.unit}]",
        fontsize=9, color=TEXT, loc="left",
    )  # fmt: skip
    finish_axes(ax)
    ax.margins(y=0.02)
    ax.legend(
        loc="upper left", bbox_to_anchor=(0, -0.35 / (_ROW * len(found.steps) + 0.1)), ncols=2,
        borderaxespad=0, fontsize=7, frameon=False, labelcolor=TEXT,
    )  # fmt: skip
