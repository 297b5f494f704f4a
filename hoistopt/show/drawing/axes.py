"""Figures and axes of one look, outside of pyplot, with the caution at their foot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .palette import LANE, QUIET, RULE, TEXT

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

FOOTER = (
    "Planning aid, not a safety function: interlocks, guarding and dwell watchdogs stay in "
    "the machine."
)


# Size of a panel, in inches.
PANEL_WIDTH, PANEL_HEIGHT = 6.0, 4.6


def new_figure(width: float, height: float) -> Figure:
    """An empty white figure, in inches, that does not belong to pyplot."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width, height), facecolor="#ffffff")
    FigureCanvasAgg(figure)
    return figure


def figure_of(ax: Axes) -> Figure:
    """The figure that axes stand in."""
    from matplotlib.figure import Figure

    figure = ax.figure
    assert isinstance(figure, Figure)
    return figure


def add_footer(figure: Figure, left: float, bottom: float) -> None:
    """The caution at the foot of a figure; where, as shares of its size."""
    figure.text(left, bottom, FOOTER, fontsize=7, color=QUIET, va="bottom")


def finish_axes(ax: Axes) -> None:
    """The look of axes with figures along both: grid, ticks, margins."""
    ax.margins(x=0.06, y=0.14)
    ax.ticklabel_format(axis="y", useOffset=False, style="plain")
    ax.set_facecolor(LANE[1])
    ax.grid(color=RULE, linewidth=0.7)
    ax.set_axisbelow(True)
    ax.tick_params(color=QUIET, labelcolor=TEXT, labelsize=7.5, length=3)
    for spine in ax.spines.values():
        spine.set_color(RULE)


def key_below(ax: Axes, title: str | None, columns: int) -> None:
    """What the signs mean, under the axes, where it covers nothing."""
    ax.legend(
        loc="upper left", bbox_to_anchor=(0, -0.13), borderaxespad=0, ncols=columns, fontsize=7,
        frameon=False, labelcolor=TEXT, title=title, title_fontsize=7, alignment="left",
    )  # fmt: skip
