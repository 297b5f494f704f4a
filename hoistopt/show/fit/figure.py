"""How far measured times are from a file's, before and after the fit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ...plant.fit.answer import Fit, TimedPair
from ..drawing.axes import add_footer, finish_axes, foot, foot_height, key_below, new_figure
from ..drawing.look import own_look
from ..drawing.palette import FILLS, QUIET, TEXT, WRONG

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_PANELS = (
    ("Loaded moves", ("move",)),
    ("Parts of loaded moves", ("lift", "travel", "lower")),
    ("Empty travel", ("empty",)),
)
# Sizes in inches.
_WIDTH, _HEIGHT, _ABOVE, _BELOW = 4.6, 3.4, 0.95, 1.0


def draw_fit(fit: Fit) -> Figure:
    """Measured time less the file's, over the measured time: today's file and the changed one.

    Returns
    -------
    matplotlib.figure.Figure
        It does not belong to pyplot. A panel each for whole moves, their parts and empty
        travel, where they were timed.
    """
    panels = [
        (title, pairs)
        for title, whats in _PANELS
        if (pairs := [pair for pair in fit.pairs if pair.timed.what in whats])
    ]
    width = _WIDTH * len(panels) if len(panels) > 1 else _WIDTH * 1.5
    below = _BELOW + foot_height(foot(fit.problem, width * 0.94 * 72))
    height = _HEIGHT + _ABOVE + below
    names = [fit.problem.name, fit.problem.note]
    with own_look(names):
        figure = new_figure(width, height)
        grid = figure.add_gridspec(
            1, len(panels), left=0.62 / width, right=1 - 0.2 / width,
            top=1 - _ABOVE / height, bottom=below / height, wspace=0.28,
        )  # fmt: skip
        for number, (title, pairs) in enumerate(panels):
            _panel(figure.add_subplot(grid[0, number]), title, pairs, fit)
        figure.text(
            0.03 * _WIDTH / width, 1 - 0.15 / height, fit.problem.name, fontsize=12,
            fontweight="bold", color=TEXT, va="top", parse_math=False,
        )  # fmt: skip
        add_footer(figure, fit.problem, 0.03 * width, 0.1)
    return figure


def _panel(ax: Axes, title: str, pairs: list[TimedPair], fit: Fit) -> None:
    unit = fit.problem.unit
    bound = fit.readings.origin == "log" and pairs[0].timed.what == "empty"
    ax.axhline(0, color=TEXT, linewidth=1.0, zorder=2)
    for name, sign, colour, times in (
        ("today's file", "o", WRONG, [pair.today for pair in pairs]),
        ("changed file", "D", FILLS[0], [pair.new for pair in pairs]),
    ):
        known = [(p, time) for p, time in zip(pairs, times, strict=True) if time is not None]
        hollow = sign == "o"
        ax.errorbar(
            [pair.mean for pair, _ in known],
            [pair.mean - time for pair, time in known],
            yerr=[2 * (pair.error or 0.0) for pair, _ in known],
            fmt=sign, markersize=5, color=colour, ecolor=QUIET, elinewidth=0.6,
            markerfacecolor="none" if hollow else colour, markeredgewidth=0.9,
            markeredgecolor=colour if hollow else TEXT, label=name, zorder=3,
        )  # fmt: skip
    ax.set_title(title, fontsize=9, color=TEXT, loc="left")
    ax.set_xlabel(f"{'least time seen' if bound else 'measured'} [{unit}]", color=QUIET)
    ax.set_ylabel(f"that less the file's [{unit}]", color=QUIET)
    finish_axes(ax)
    key_below(ax, None, 2)
