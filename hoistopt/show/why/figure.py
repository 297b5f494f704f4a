"""Mark in a time-way diagram what holds the cycle time."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from ...base.numbers.decimals import told
from ...problem import Problem
from ..drawing.look import own_look
from ..timeway.diagram import draw_timeway
from ..timeway.lanes import BAR, Lane, Rails, lay_out, places
from ..timeway.scene import Bar, Scene, scene_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from ...analysis.why.held import Holding, Piece

# Broad and dark, so that it is told from the hoist's path in grey print as well.
HOLDING = "#0b3fd1"
_WIDE, _RIM = 3.6, 6.0
_LABEL = 8.5

Points = list[tuple[Fraction, float]]


def draw_holding(problem: Problem, holding: Holding, ax: Axes | None = None) -> Axes:
    """The time-way diagram of a schedule with its critical circuit marked.

    Broad lines follow the hoist where its work belongs to the circuit, broad frames
    stand around the part of a stay that does; in every cycle drawn.

    Parameters
    ----------
    problem : Problem
        The line.
    holding : Holding
        What :func:`hoistopt.what_holds` found.
    ax : matplotlib.axes.Axes, optional
        Where to draw, as for :func:`hoistopt.show.timeway.draw_timeway`.

    Returns
    -------
    matplotlib.axes.Axes
    """
    cycles = 2
    ax = draw_timeway(problem, holding.schedule, holding.replay, ax, cycles)
    scene = scene_of(problem, holding.replay, cycles)
    rows = places(scene.bars)
    lanes = lay_out(problem, scene.bars, rows)
    names = [problem.name, problem.note, *(station.name for station in problem.stations)]
    with own_look(names):
        for piece in holding.pieces:
            if piece.stations:
                _mark(ax, scene, rows, lanes, piece)
        _sign(ax, holding)
    return ax


def _mark(ax: Axes, scene: Scene, rows: list[int], lanes: Mapping[str, Lane], piece: Piece) -> None:
    since, until = sorted((piece.begins, piece.begins + piece.time))
    for by in _repeats(since, until, scene):
        if piece.what in ("minimum", "maximum", "rest", "occupation"):
            _frame(ax, scene, rows, lanes, piece.stations[0], since + by, until + by)
        else:
            _line(ax, _way(scene, lanes, piece, by), by_hoist=piece.what != "return")


def _repeats(since: Fraction, until: Fraction, scene: Scene) -> Iterator[Fraction]:
    """Shifts by whole cycles that bring something into view."""
    cycle = scene.cycle_time
    by = -(until // cycle) * cycle
    while since + by < scene.span:
        if until + by > 0:
            yield by
        by += cycle


def _way(scene: Scene, lanes: Mapping[str, Lane], piece: Piece, by: Fraction) -> Points:
    """Along the hoist's path where that is drawn, else straight from end to end.

    The circuit's times are on the grid, rounded up, the path's are exact: the leg meant is
    the one of that kind between those stations under way at the time.
    """
    begins, ends = piece.begins + by, piece.begins + piece.time + by
    source, target = piece.stations[0], piece.stations[-1]
    for leg in scene.legs:
        (since, first), (until, last) = leg.points[0], leg.points[-1]
        meant = (leg.kind, first, last) == (piece.what, source, target)
        if meant and since < ends and begins < until:
            return [(time, Rails(lanes).at(place)) for time, place in leg.points]
    return [(begins, lanes[source].rail), (ends, lanes[target].rail)]


def _line(ax: Axes, points: Points, *, by_hoist: bool) -> None:
    from matplotlib.patheffects import Normal, Stroke

    ax.plot(
        [float(time) for time, _ in points],
        [height for _, height in points],
        color=HOLDING,
        linewidth=_WIDE,
        linestyle="-" if by_hoist else (0, (1.5, 1.5)),
        solid_capstyle="butt",
        solid_joinstyle="round",
        zorder=5.5,
        gid="holding",
        label="_holding",
        path_effects=[Stroke(linewidth=_RIM, foreground="#ffffff", alpha=0.8), Normal()],
    )


def _frame(
    ax: Axes,
    scene: Scene,
    rows: list[int],
    lanes: Mapping[str, Lane],
    station: str,
    since: Fraction,
    until: Fraction,
) -> None:
    from matplotlib.patches import Rectangle

    row = _row(scene.bars, rows, station, since, until)
    patch = Rectangle(
        (float(since), lanes[station].slot(row)),
        float(until - since),
        BAR,
        fill=False,
        edgecolor=HOLDING,
        linewidth=_WIDE * 0.8,
        zorder=5.4,
    )
    patch.set_gid("holding")
    ax.add_patch(patch)


def _row(
    bars: tuple[Bar, ...], rows: list[int], station: str, since: Fraction, until: Fraction
) -> int:
    """The place of the carrier that stands there all that time; the first if none does."""
    for bar, row in zip(bars, rows, strict=True):
        if bar.station == station and bar.since <= since and until <= bar.until:
            return row
    return 0


def _sign(ax: Axes, holding: Holding) -> None:
    """What the broad lines mean, above the diagram on the right."""
    place: dict[str, Any] = {"xycoords": "axes fraction", "textcoords": "offset points"}
    ax.annotate(
        f"broad: holds the cycle at {told(holding.least)} {holding.unit}",
        (1, 1),
        xytext=(0, 33),
        ha="right",
        fontsize=_LABEL,
        fontweight="bold",
        color=HOLDING,
        gid="holding-sign",
        **place,
    )
