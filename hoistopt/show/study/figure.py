"""The page of a study: cycle time against a parameter, loads per hour against cost."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..drawing.axes import PANEL_HEIGHT, PANEL_WIDTH, add_footer, foot, foot_height, new_figure
from ..drawing.look import own_look
from ..drawing.palette import TEXT
from ..drawing.wording import wrapped
from .curves import draw_curves
from .frontier import cost_axis, draw_frontier

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from ...analysis.study import Study


def draw_study(study: Study, against: str | None = None) -> Figure:
    """Both pictures side by side; the first alone where nothing stands for cost.

    Parameters
    ----------
    study : Study
    against : str, optional
        A numeric parameter to take for the cost.

    Returns
    -------
    matplotlib.figure.Figure
        It does not belong to pyplot.
    """
    panels = 1 if cost_axis(study, against) is None else 2
    with own_look([study.problem.name, study.problem.note, *study.names]):
        figure = new_figure(PANEL_WIDTH * panels, PANEL_HEIGHT)
        axes = figure.subplots(1, panels, squeeze=False)[0]
        draw_curves(study, axes[0])
        if panels == 2:
            draw_frontier(study, against, axes[1])
        below = foot_height(foot(study.problem, (PANEL_WIDTH * panels - 0.2) * 72)) + 0.2
        _grow(figure, below)
        height = figure.get_figheight()
        figure.tight_layout(rect=(0.01, below / height, 0.99, 1 - 0.46 / height), w_pad=3)
        _texts(figure, study)
    return figure


def _grow(figure: Figure, below: float) -> None:
    """Make the page taller by what the keys under the axes and the lines at its foot need."""
    keys = [ax.get_legend() for ax in figure.axes]
    heights = [key.get_window_extent().height for key in keys if key is not None]
    figure.set_figheight(PANEL_HEIGHT + max(heights, default=0.0) / figure.dpi + below)


def _texts(figure: Figure, study: Study) -> None:
    name = wrapped(f"Study of {study.problem.name}", 90).split("\n")[0]
    counts = [
        (sum(point.status == status for point in study.points), told)
        for status, told in (
            ("optimal", "proved"),
            ("feasible", "not proved (hollow)"),
            ("infeasible", "without a schedule (x)"),
            ("unknown", "none found in time (?)"),
            ("failed", "failed (?)"),
            ("not run", "not run (?)"),
        )
    ]
    told = ", ".join(f"{count} {what}" for count, what in counts if count)
    facts = f"{len(study.points)} points: {told}"
    top = figure.get_figheight()
    for text, down, size, weight in ((name, 0.09, 12, "bold"), (facts, 0.35, 8.5, "normal")):
        figure.text(
            0.015, 1 - down / top, text, fontsize=size, fontweight=weight, color=TEXT, va="top",
            parse_math=False,
        )  # fmt: skip
    add_footer(figure, study.problem, 0.015 * figure.get_figwidth(), 0.08)
