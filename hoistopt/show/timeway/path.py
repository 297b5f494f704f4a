"""Draw the hoist's path along the rails of the lanes."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Literal

from ..drawing.palette import EMPTY, HOIST
from .lanes import Lane
from .scene import Leg

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


def draw_path(ax: Axes, legs: Sequence[Leg], lanes: Mapping[str, Lane]) -> None:
    """Loaded moves solid, empty travel dashed, waiting dotted; one line of each kind."""
    from matplotlib.patheffects import Normal, Stroke

    for kind, style in STYLES.items():
        xs: list[float] = []
        ys: list[float] = []
        for leg in legs:
            if leg.kind == kind:
                xs += [*(float(time) for time, _ in leg.points), float("nan")]
                ys += [*(lanes[station].rail for _, station in leg.points), float("nan")]
        (line,) = ax.plot(xs, ys, **style, zorder=5, gid=kind, label=f"_{kind}")
        if kind == "loaded":
            # A light rim keeps the line apart from the bars it crosses.
            rim = Stroke(linewidth=3.4, foreground="#ffffff", alpha=0.75)
            line.set_path_effects([rim, Normal()])


class Crossings:
    """Where the hoist's path crosses a given height of the diagram.

    The hoist is in one place at a time, so the legs are looked up by time.
    """

    def __init__(self, legs: Sequence[Leg], lanes: Mapping[str, Lane]) -> None:
        points = [
            [(float(time), lanes[station].rail) for time, station in leg.points] for leg in legs
        ]
        self._pieces = sorted(piece for path in points for piece in pairwise(path))
        self._starts = [piece[0][0] for piece in self._pieces]

    def gaps(self, since: float, until: float, height: float) -> list[tuple[float, float]]:
        """The parts of `since` to `until` between crossings of `height`."""
        first = max(0, bisect_left(self._starts, since) - 1)
        last = bisect_right(self._starts, until)
        cuts = [since]
        for (start, above), (end, below) in self._pieces[first:last]:
            if min(above, below) < height < max(above, below):
                crossing = start + (end - start) * (height - above) / (below - above)
                if since < crossing < until:
                    cuts.append(crossing)
        return list(pairwise([*sorted(cuts), until]))
