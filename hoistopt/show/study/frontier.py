"""Loads per hour against cost, with the efficient frontier."""

from __future__ import annotations

from fractions import Fraction
from string import ascii_uppercase
from typing import TYPE_CHECKING

from ...base.numbers.decimals import told
from ..drawing.axes import PANEL_HEIGHT, PANEL_WIDTH, finish_axes, key_below, new_figure
from ..drawing.look import own_look
from ..drawing.palette import FILLS, QUIET, TEXT
from ..drawing.wording import wrapped
from .data import with_unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from ...analysis.study import Point, Study

MOST_LETTERS = 10


def cost_axis(study: Study, against: str | None) -> str | None:
    """What stands for cost: costs given, the parameter asked for, or the only numeric one.

    Returns
    -------
    str or None
        Its label; None where nothing can stand for cost.
    """
    if against is not None:
        return against
    return "cost" if any(point.design.cost is not None for point in study.points) else None


def draw_frontier(study: Study, against: str | None = None, ax: Axes | None = None) -> Axes:
    """Loads per hour of every point against its cost; the efficient ones joined by steps.

    Hollow points are not proved best: a line leads up to what the bound leaves possible.

    Parameters
    ----------
    study : Study
    against : str, optional
        A numeric parameter to take for the cost.
    ax : matplotlib.axes.Axes, optional
        Where to draw; without it a figure of its own is made.
    """
    if ax is None:
        ax = new_figure(PANEL_WIDTH, PANEL_HEIGHT).add_subplot()
    with own_look([study.problem.name, *study.names]):
        best = study.frontier(against)
        for point in study.points:
            cost = study.cost_of(point, against)
            if cost is not None and point.throughput is not None:
                _point(ax, float(cost), point, any(point is each for each in best))
        steps = [(float(study.cost_of(p, against) or 0), float(p.throughput or 0)) for p in best]
        if steps:
            ax.step(
                [x for x, _ in steps], [y for _, y in steps], where="post", color=TEXT,
                linewidth=1.4, zorder=2, gid="frontier", label="efficient frontier",
            )  # fmt: skip
        _label(ax, study, best, steps, against)
        ax.set_xlabel(wrapped(_cost_label(study, against), 70), fontsize=8, color=TEXT)
        ax.set_ylabel("loads per hour", fontsize=8, color=TEXT)
        finish_axes(ax)
        if steps:
            key_below(ax, None, columns=1)
    return ax


def _cost_label(study: Study, against: str | None) -> str:
    axis = cost_axis(study, against)
    return "cost" if axis is None else with_unit(axis, study.problem)


def _point(ax: Axes, cost: float, point: Point, efficient: bool) -> None:
    made = float(point.throughput or 0)
    if point.status != "optimal" and point.best_possible is not None:
        ax.plot(
            [cost, cost], [made, float(point.best_possible)], color=QUIET, linewidth=1,
            zorder=1, gid="to-bound",
        )  # fmt: skip
    colour = FILLS[4] if efficient else FILLS[0]
    ax.plot(
        [cost], [made], marker="D" if efficient else "o", markersize=7 if efficient else 5,
        markerfacecolor=colour if point.status == "optimal" else "#ffffff",
        markeredgecolor=TEXT if efficient else QUIET, markeredgewidth=0.9,
        zorder=5 if efficient else 4,
        gid="efficient" if efficient else "beaten",
    )  # fmt: skip


def _label(
    ax: Axes,
    study: Study,
    best: tuple[Point, ...],
    steps: list[tuple[float, float]],
    against: str | None,
) -> None:
    """A letter beside each efficient point, told in the key; none where they are many."""
    if len(best) > MOST_LETTERS:
        return
    for letter, point, place in zip(ascii_uppercase, best, steps, strict=False):
        ax.annotate(
            letter, place, xytext=(6, -4), textcoords="offset points", fontsize=8,
            fontweight="bold", color=TEXT, va="top", zorder=5, gid="letter",
        )  # fmt: skip
        cost = study.cost_of(point, against)
        words = f"{letter}  {told(Fraction(cost or 0))}: {point.design.label}"
        ax.plot([], [], linestyle="none", label=wrapped(words, 80))
