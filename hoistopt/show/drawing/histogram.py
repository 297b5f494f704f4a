"""Histograms of times, with limits among the bars."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from .palette import LANE, QUIET, RULE, TEXT

if TYPE_CHECKING:
    import numpy as np
    from matplotlib.axes import Axes

BARS = 40
# Room above each panel for the names of the limits, in points.
_NAMES = 14.0


def edges_of(values: np.ndarray, *limits: Any) -> np.ndarray:
    """Edges of the bars; each limit is one of them if it lies among them, None is none.

    What lies only just beyond the outer limits has a bar as wide as the others.
    """
    import numpy as np

    low, high = float(values.min()), float(values.max())
    if high - low <= 1e-9 * max(1.0, abs(high)):
        middle = (low + high) / 2
        spread = max(abs(middle) * 0.01, 1e-6)
        return np.linspace(middle - spread, middle + spread, BARS + 1)
    inside = sorted({float(limit) for limit in limits if limit is not None and low < limit < high})
    width = (high - low) / BARS
    if inside:
        low, high = min(low, inside[0] - width), max(high, inside[-1] + width)
    edges = [np.array([low])]
    for end in [*inside, high]:
        begin = float(edges[-1][-1])
        edges.append(np.linspace(begin, end, max(1, round((end - begin) / width)) + 1)[1:])
    return np.concatenate(edges)


def draw_bars(ax: Axes, values: np.ndarray, edges: np.ndarray, colour: str, name: str) -> None:
    """How many values lie between each two edges, as bars of one colour."""
    import numpy as np

    counts, _ = np.histogram(values, edges)
    drawn = ax.stairs(counts, edges, fill=True, facecolor=colour, edgecolor=colour, zorder=3)
    drawn.set_gid(name)


def draw_limit(ax: Axes, at: float, name: str) -> None:
    """A line with its name above the axes: a minimum's to its left, others' to the right."""
    side = -1 if name == "min" else 1
    ax.axvline(at, color=TEXT, linewidth=1.2, linestyle=(0, (4, 2)), zorder=4, gid=f"limit-{name}")
    ax.annotate(
        name,
        (at, 1),
        xycoords=ax.get_xaxis_transform(),
        xytext=(side, 2),
        textcoords="offset points",
        ha="right" if side < 0 else "left",
        va="bottom",
        gid="limit-name",
        color=TEXT,
        fontsize=7,
        zorder=5,
    )


def finish_panel(ax: Axes, title: str, label: str) -> None:
    """The look of a panel: title, name of the axis below, no figures beside the bars."""
    ax.set_title(title, fontsize=8.5, color=TEXT, loc="left", pad=_NAMES)
    ax.set_xlabel(label, fontsize=7.5, color=QUIET)
    ax.set_yticks([])
    ax.set_facecolor(LANE[1])
    ax.margins(x=0.04)
    ax.ticklabel_format(axis="x", useOffset=False, style="plain")
    ax.tick_params(axis="x", color=QUIET, labelcolor=TEXT, labelsize=7, length=3)
    ax.locator_params(axis="x", nbins=6)
    for spine in ax.spines.values():
        spine.set_color(RULE)
