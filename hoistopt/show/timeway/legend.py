"""Explain the signs, below the data."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from ...analysis.figures.dwells import SMALL, Margin
from ..drawing.faults import MARK
from ..drawing.palette import NEAR, REST, Paint
from ..drawing.wording import wrapped
from .bars import MARGIN_MARKS, MAX_MARK, MIN_MARK
from .frame import RESTART
from .path import STYLES, WORDS, mark_of, style_of
from .scene import Scene

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

MARGIN_WORDS: dict[Margin, str] = {
    "none": "no margin to max. dwell",
    "small": f"margin of at most {float(SMALL):.0%} of the window",
}
_SIGN = 52.0


def draw_legend(ax: Axes, scene: Scene, paints: Mapping[str, Paint], below: float) -> float:
    """One entry for each kind of sign that is drawn, `below` points under the axes.

    Returns
    -------
    float
        Height of the legend in points.
    """
    from matplotlib.transforms import ScaledTranslation

    entries = _entries(scene, paints)
    handles, labels = [sign for _, sign in entries], [words for words, _ in entries]
    columns = _columns(ax, labels)
    offset = ScaledTranslation(0, -below / 72, ax.figure.dpi_scale_trans)
    legend = ax.legend(
        handles,
        labels,
        loc="upper left",
        bbox_to_anchor=(0, 0),
        bbox_transform=ax.transAxes + offset,
        ncols=columns,
        frameon=False,
        borderaxespad=0,
        borderpad=0,
        handlelength=3.0,
        columnspacing=1.8,
        labelspacing=0.55,
        fontsize=8,
    )
    for text in legend.get_texts():
        text.set_parse_math(False)
    return float(legend.get_window_extent().height) / ax.figure.dpi * 72


def _entries(scene: Scene, paints: Mapping[str, Paint]) -> list[tuple[str, Artist]]:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    used = {bar.recipe for bar in scene.bars}
    found: list[tuple[str, Artist]] = [
        (
            wrapped(f"carrier, recipe {name}"),
            Patch(facecolor=paint.fill, edgecolor=paint.line, hatch=paint.pattern or None),
        )
        for name, paint in paints.items()
        if name in used
    ]
    if any(bar.rested is not None for bar in scene.bars):
        found.append(("tank rests, empty", Patch(**REST)))
    found.append(("min. dwell reached", Line2D([], [], **MIN_MARK)))
    if any(bar.most is not None for bar in scene.bars):
        found.append(("max. dwell would be reached", Line2D([], [], **MAX_MARK)))
    for margin, mark in MARGIN_MARKS.items():
        if any(bar.margin == margin for bar in scene.bars):
            found.append((MARGIN_WORDS[margin], Line2D([], [], **mark)))
    for kind in STYLES:
        for hoist in sorted({leg.hoist for leg in scene.legs if leg.kind == kind}):
            # Loaded moves look alike; the marks at their ends say whose they are.
            whose = f"hoist {scene.hoists[hoist]}" if scene.hoists and kind != "loaded" else "hoist"
            words = wrapped(WORDS[kind].replace("hoist", whose, 1))
            if words not in (known for known, _ in found):
                found.append((words, Line2D([], [], **style_of(kind, hoist))))
    for number, name in enumerate(scene.hoists):
        found.append((wrapped(f"hoist {name} lifts, sets down"), Line2D([], [], **mark_of(number))))
    if scene.near:
        patch = Patch(facecolor=NEAR, alpha=0.45)
        found.append(("hoists nearest to one another", patch))
    if scene.steady:
        found.append(("cycle restarts", Line2D([], [], **RESTART)))
    if scene.wrong:
        found.append(("rule broken here", Line2D([], [], **MARK)))
    return found


def _columns(ax: Axes, labels: list[str]) -> int:
    """As many columns as fit the width of the axes."""
    texts = [ax.text(0, 0, label, fontsize=8, parse_math=False) for label in labels]
    widest = max(text.get_window_extent().width for text in texts)
    for text in texts:
        text.remove()
    column = widest + _SIGN / 72 * ax.figure.dpi
    return max(1, min(len(labels), int(ax.bbox.width / column)))
