"""Figures and axes of one look, outside of pyplot, with the caution at their foot."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ...analysis.figures.cautions import standing
from ...base.text import clean
from ...problem import Problem
from .palette import LANE, QUIET, RULE, TEXT
from .wording import wrapped

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

# Of the lines at the foot, in points.
FOOT, LEADING = 7.0, 10.5
_LETTER, _MOST_LINES = 3.9, 6

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


def foot(problem: Problem, width: float, cautions: Sequence[str] | None = None) -> str:
    """What stands at the foot of every picture: the line's note and the cautions.

    Parameters
    ----------
    width : float
        Room for a line, in points. A note of very many lines is cut.
    cautions : sequence of str, optional
        All of them, the standing ones too; left out, those alone.
    """
    letters = max(20, int(width / _LETTER))
    note = [line for part in clean(problem.note).splitlines() for line in _lines(part, letters)]
    if len(note) > _MOST_LINES:
        cut = note[_MOST_LINES - 1][: letters - 1]
        note = [*note[: _MOST_LINES - 1], f"{cut}\N{HORIZONTAL ELLIPSIS}"]
    if cautions is None:
        cautions = standing(len(problem.hoists) > 1)
    return "\n".join([*note, *(line for each in cautions for line in _lines(each, letters))])


def _lines(text: str, letters: int) -> list[str]:
    return wrapped(text, letters).split("\n") if text.strip() else []


def foot_height(text: str) -> float:
    """Height of the lines at the foot, in inches."""
    return (text.count("\n") + 1) * LEADING / 72


def add_footer(
    figure: Figure,
    problem: Problem,
    left: float,
    bottom: float,
    cautions: Sequence[str] | None = None,
) -> float:
    """The note and the cautions at the foot of a figure.

    Parameters
    ----------
    left, bottom : float
        Where, in inches.
    cautions : sequence of str, optional
        As of :func:`foot`.

    Returns
    -------
    float
        How far they reach up from the figure's lower edge, in inches.
    """
    width, height = figure.get_size_inches()
    text = foot(problem, (width - 2 * left) * 72, cautions)
    figure.text(
        left / width, bottom / height, text, fontsize=FOOT, color=QUIET, va="bottom",
        linespacing=1.5, parse_math=False, gid="footer",
    )  # fmt: skip
    return bottom + foot_height(text)


def finish_axes(ax: Axes) -> None:
    """The look of axes with figures along both: grid, ticks, margins."""
    ax.margins(x=0.06, y=0.14)
    _plain_figures(ax)
    ax.set_facecolor(LANE[1])
    ax.grid(color=RULE, linewidth=0.7)
    ax.set_axisbelow(True)
    ax.tick_params(color=QUIET, labelcolor=TEXT, labelsize=7.5, length=3)
    for spine in ax.spines.values():
        spine.set_color(RULE)


def _plain_figures(ax: Axes) -> None:
    """Figures along the axes written out, without exponents; ticks with names stay."""
    from matplotlib.ticker import ScalarFormatter

    for axis in (ax.xaxis, ax.yaxis):
        formatter = axis.get_major_formatter()
        if isinstance(formatter, ScalarFormatter):
            formatter.set_scientific(False)
            formatter.set_useOffset(False)


def key_below(ax: Axes, title: str | None, columns: int) -> None:
    """What the signs mean, under the axes, where it covers nothing."""
    ax.legend(
        loc="upper left", bbox_to_anchor=(0, -0.13), borderaxespad=0, ncols=columns, fontsize=7,
        frameon=False, labelcolor=TEXT, title=title, title_fontsize=7, alignment="left",
    )  # fmt: skip
