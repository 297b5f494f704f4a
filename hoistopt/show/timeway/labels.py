"""The load's number and its dwell, in each bar or beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ...base.text import load_name
from ..drawing.palette import TEXT, Paint
from .lanes import BAR, Lane
from .path import Crossings
from .scene import Bar, Scene

if TYPE_CHECKING:
    from matplotlib.axes import Axes

POINTS = 6.8
# How far from its bar a label may stand, in points: first without, then with a dashed line
# of the hoist's path through it.
_NEAR, _FAR = 20.0, 70.0

Span = tuple[float, float]


@dataclass(frozen=True)
class Label:
    """A text, the time at its middle, and whether it stands beside its bar."""

    text: str
    middle: float
    beside: bool = False


def label_bars(
    ax: Axes,
    scene: Scene,
    rows: Sequence[int],
    lanes: Mapping[str, Lane],
    paints: Mapping[str, Paint],
) -> None:
    """Load and dwell of each bar: in it where they fit, else the dwell beside it.

    Where the hoist's path crosses, the text stands beside the crossing if it can, else over
    it, never struck through. Of a bar
    that the edges of the diagram cut off only what fits in it is told.
    """
    from matplotlib.patheffects import withStroke

    per_time = ax.bbox.width / ax.figure.dpi * 72 / float(scene.span)
    labels = _Labels(scene, rows, lanes, per_time)
    for number, bar in enumerate(scene.bars):
        for label in labels.of(number):
            rim = "#ffffff" if label.beside else paints[bar.recipe].fill
            # In a bar a patch of its colour, so that lines and patterns pass behind the text.
            patch = {"boxstyle": "square,pad=0.12", "facecolor": rim, "edgecolor": "none"}
            ax.text(
                label.middle,
                labels.height(number),
                label.text,
                fontsize=POINTS,
                color=TEXT,
                ha="center",
                va="center_baseline",
                zorder=6,
                gid="beside" if label.beside else "load",
                parse_math=False,
                path_effects=[withStroke(linewidth=3, foreground=rim)],
                bbox=None if label.beside else patch,
            )


class _Labels:
    """Finds a place for each label; those beside bars keep clear of one another."""

    def __init__(
        self, scene: Scene, rows: Sequence[int], lanes: Mapping[str, Lane], per_time: float
    ) -> None:
        self._scene, self._rows, self._lanes = scene, rows, lanes
        self._per_time = per_time
        loaded = [leg for leg in scene.legs if leg.kind == "loaded"]
        # A dashed line through the text is better than no dwell, a solid one is not.
        self._paths = (Crossings(scene.legs, lanes), Crossings(loaded, lanes))
        # What is taken of each row, by bars and by labels beside them.
        self._taken: dict[tuple[str, int], list[Span]] = {}
        for bar, row in zip(scene.bars, rows, strict=True):
            span = (float(bar.since), float(bar.until))
            self._taken.setdefault((bar.station, row), []).append(span)

    def height(self, number: int) -> float:
        """The middle of a bar."""
        return self._lanes[self._scene.bars[number].station].slot(self._rows[number]) + BAR / 2

    def of(self, number: int) -> list[Label]:
        """What is written of a bar: one text, or the load in it and the dwell beside it."""
        bar = self._scene.bars[number]
        since, until = max(0.0, float(bar.since)), min(self._end, float(bar.until))
        short = load_name(bar.load)
        if bar.dwell is not None:
            long = f"{short} \N{MIDDLE DOT} {bar.dwell:f}"
            for path in self._paths:
                whole = self._within(long, path.gaps(since, until, self.height(number)))
                if whole is not None:
                    return [whole]
        clear = self._paths[0].gaps(since, until, self.height(number))
        inside = self._within(short, clear) or self._within(short, [(since, until)])
        found = [] if inside is None else [inside]
        if bar.dwell is None or (since, until) != (float(bar.since), float(bar.until)):
            return found
        beside = self._beside(long if inside is None else f"{bar.dwell:f}", bar, number)
        return found if beside is None else [*found, beside]

    @property
    def _end(self) -> float:
        return float(self._scene.span)

    def _within(self, text: str, spans: Sequence[Span]) -> Label | None:
        middle = self._closest(text, spans, (spans[0][0] + spans[-1][1]) / 2)
        return None if middle is None else Label(text, middle)

    def _beside(self, text: str, bar: Bar, number: int) -> Label | None:
        """Close to an end of the bar, clear of whatever stands in its row."""
        since, until, half = float(bar.since), float(bar.until), self._width(text) / 2
        row = self._taken[bar.station, self._rows[number]]
        after = min([a for a, _ in row if a >= until] + [self._end])
        before = max([b for _, b in row if b <= since] + [0.0])
        for path, reach in zip(self._paths, (_NEAR, _FAR), strict=True):
            for span, wanted in (((until, after), until + half), ((before, since), since - half)):
                spans = path.gaps(*span, self.height(number))
                middle = self._closest(text, spans, wanted)
                if middle is not None and abs(middle - wanted) * self._per_time <= reach:
                    row.append((middle - half, middle + half))
                    return Label(text, middle, beside=True)
        return None

    def _closest(self, text: str, spans: Sequence[Span], wanted: float) -> float | None:
        """The middle closest to `wanted` for a text within one of the spans."""
        width = self._width(text)
        fitting = [span for span in spans if span[1] - span[0] >= width]
        points = [min(max(wanted, a + width / 2), b - width / 2) for a, b in fitting]
        return min(points, key=lambda point: abs(point - wanted), default=None)

    def _width(self, text: str) -> float:
        # 0.64 em is the width of a digit in the font used.
        return (len(text) * POINTS * 0.64 + 5) / self._per_time
