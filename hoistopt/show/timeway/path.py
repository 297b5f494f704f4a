"""Draw the hoist's path along the rails of the lanes."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from itertools import pairwise, product
from typing import TYPE_CHECKING, Any, Literal

from ..drawing.palette import EMPTY, HOIST, NEAR
from .lanes import Lane, Rails
from .scene import Leg, Scene

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Kind = Literal["loaded", "empty", "waiting"]

STYLES: dict[Kind, dict[str, Any]] = {
    "loaded": {"color": HOIST, "linewidth": 1.7, "solid_joinstyle": "round"},
    "empty": {"color": EMPTY, "linewidth": 0.9, "dashes": (4, 2.2)},
    "waiting": {"color": EMPTY, "linewidth": 1.3, "dashes": (0.9, 1.3)},
}
WORDS: dict[Kind, str] = {
    "loaded": "hoist, loaded",
    "empty": "hoist, empty",
    "waiting": "hoist, waiting",
}


EMPTY_DASHES = ((4, 2.2), (7, 1.8, 1.2, 1.8), (2, 2), (9, 2.2), (5, 1.6, 1.2, 1.6, 1.2, 1.6))
"""How the empty travel of each of several hoists is dashed, over and over."""
WAITING_DASHES = ((0.9, 1.3), (0.9, 3.0), (2.4, 1.2), (0.9, 1.3, 0.9, 3.6), (2.4, 3.6))
"""How the waiting of each of several hoists is dashed."""


def style_of(kind: Kind, hoist: int) -> dict[str, Any]:
    """The look of a line of one of several hoists; the first looks as the one of a line does."""
    dashes = {"empty": EMPTY_DASHES, "waiting": WAITING_DASHES}.get(kind)
    style = STYLES[kind]
    return style if dashes is None else {**style, "dashes": dashes[hoist % len(dashes)]}


MARKS = ("o", "s", "^", "D", "v", "P", "<", ">")
"""The mark of each of several hoists, where it lifts and where it has set down."""


def mark_of(hoist: int) -> dict[str, Any]:
    """The look of a hoist's mark: its own form, full and hollow by turns."""
    return {
        "linestyle": "none",
        "marker": MARKS[hoist % len(MARKS)],
        "markersize": 4.6,
        "markerfacecolor": HOIST if hoist % 2 == 0 else "#ffffff",
        "markeredgecolor": HOIST,
        "markeredgewidth": 1.0,
    }


def draw_near(ax: Axes, scene: Scene, lanes: Mapping[str, Lane]) -> None:
    """Shade the distance of neighbouring hoists where it is least in a cycle."""
    rails = Rails(lanes)
    width = float(scene.span) / 260
    for near in scene.near:
        upper, lower = rails.at(near.here), rails.at(near.there)
        time = float(near.time)
        ax.fill_betweenx(
            [upper, lower],
            time - width,
            time + width,
            color=NEAR,
            alpha=0.45,
            linewidth=0,
            zorder=4.5,
            gid="near",
        )


def draw_path(ax: Axes, legs: Sequence[Leg], lanes: Mapping[str, Lane]) -> None:
    """Loaded moves solid, empty travel dashed, waiting dotted; one line of each kind and hoist.

    Of several hoists each has dashes of its own, and a mark where it lifts and sets down.
    """
    from matplotlib.patheffects import Normal, Stroke

    rails = Rails(lanes)
    for hoist in sorted({leg.hoist for leg in legs} if _several(legs) else ()):
        ends = [
            p
            for leg in legs
            if leg.hoist == hoist and leg.kind == "loaded"
            for p in (leg.points[0], leg.points[-1])
        ]
        ax.plot(
            [float(time) for time, _ in ends],
            [rails.at(place) for _, place in ends],
            **mark_of(hoist),
            zorder=5.5,
            gid=f"hoist {hoist + 1}",
            label="_hoist",
        )
    hoists = sorted({leg.hoist for leg in legs})
    for kind, hoist in product(STYLES, hoists):
        xs: list[float] = []
        ys: list[float] = []
        for leg in legs:
            if leg.kind == kind and leg.hoist == hoist:
                xs += [*(float(time) for time, _ in leg.points), float("nan")]
                ys += [*(rails.at(place) for _, place in leg.points), float("nan")]
        (line,) = ax.plot(xs, ys, **style_of(kind, hoist), zorder=5, gid=kind, label=f"_{kind}")
        if kind == "loaded":
            # A light rim keeps the line apart from the bars it crosses.
            rim = Stroke(linewidth=3.4, foreground="#ffffff", alpha=0.75)
            line.set_path_effects([rim, Normal()])


def _several(legs: Sequence[Leg]) -> bool:
    return any(not isinstance(place, str) for leg in legs for _, place in leg.points)


class Crossings:
    """Where the paths of hoists cross a given height of the diagram; looked up by time."""

    def __init__(self, legs: Sequence[Leg], lanes: Mapping[str, Lane]) -> None:
        rails = Rails(lanes)
        points = [[(float(time), rails.at(place)) for time, place in leg.points] for leg in legs]
        self._longest = max(
            (end[0] - start[0] for path in points for start, end in pairwise(path)), default=0.0
        )
        self._pieces = sorted(piece for path in points for piece in pairwise(path))
        self._starts = [piece[0][0] for piece in self._pieces]

    def gaps(self, since: float, until: float, height: float) -> list[tuple[float, float]]:
        """The parts of `since` to `until` between crossings of `height`."""
        first = max(0, bisect_left(self._starts, since - self._longest) - 1)
        last = bisect_right(self._starts, until)
        cuts = [since]
        for (start, above), (end, below) in self._pieces[first:last]:
            if min(above, below) < height < max(above, below):
                crossing = start + (end - start) * (height - above) / (below - above)
                if since < crossing < until:
                    cuts.append(crossing)
        return list(pairwise([*sorted(cuts), until]))
