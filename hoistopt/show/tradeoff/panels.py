"""The trade-off between cycle time and loads out of window, drawn: what one signs."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from ...analysis.figures.steps import tick_of
from ...analysis.robust.tradeoff import Point, TradeOff
from ...base.decimals import as_decimal, significant
from ..drawing.axes import add_footer, foot, foot_height, new_figure
from ..drawing.look import own_look
from ..drawing.palette import BOUNDARY, LANE, QUIET, RULE, TEXT
from ..drawing.wording import wrapped
from ..schedule.runnable import good_loads_an_hour, under

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH, HEIGHT = 11.0, 4.4
"""Of the figure without what stands at its foot, in inches."""
MOST_LABELS = 12


def draw_panels(found: TradeOff) -> Figure:
    """Loads out of window and good loads an hour, each against the cycle time.

    Both panels have the cycle time from bottom to top, to the same scale. A point that is not
    proven the shortest for its margin is hollow.

    Parameters
    ----------
    found : TradeOff
        With one point at least, each of which was simulated.

    Returns
    -------
    matplotlib.figure.Figure
        Outside of pyplot.
    """
    problem = found.problem
    with own_look([problem.name, problem.note]):
        lines = foot_height(foot(problem, WIDTH * 0.96 * 72))
        high = HEIGHT + lines
        figure = new_figure(WIDTH, high)
        add_footer(figure, problem, 0.02 * WIDTH, 0.1)
        below, above = lines + 0.75, 1.0
        bottom, tall = below / high, (high - below - above) / high
        left = figure.add_axes((0.08, bottom, 0.38, tall))
        right = figure.add_axes((0.56, bottom, 0.38, tall), sharey=left)
        _panel(left, found, _share, "loads out of window [%]")
        _panel(right, found, _good, "good loads an hour [1/h]")
        left.set_ylabel(f"min. cycle time [{problem.unit}]", color=TEXT)
        left.set_xlim(left=min(0.0, left.get_xlim()[0]))
        right.tick_params(labelleft=False)
        _headings(figure, found, high)
        for ax, text in ((left, _share_label(found)), (right, _good_label(found))):
            _label(ax, found, text)
    return figure


def _share(_: TradeOff, point: Point) -> float:
    assert point.forgives is not None
    return 100 * point.forgives.out_of_window.share


def _good(found: TradeOff, point: Point) -> float:
    assert point.forgives is not None
    return good_loads_an_hour(found.problem, point.forgives)


def _share_label(found: TradeOff) -> Callable[[Point], str]:
    def text(point: Point) -> str:
        cycle = as_decimal(point.cycle_time, tick_of(point.schedule))
        share = significant(_share(found, point), 3)
        return f"{share} % at {cycle:f} {found.problem.unit}"

    return text


def _good_label(found: TradeOff) -> Callable[[Point], str]:
    return lambda point: significant(_good(found, point), 3)


def _panel(
    ax: Axes, found: TradeOff, value: Callable[[TradeOff, Point], float], title: str
) -> None:
    across = [value(found, point) for point in found.points]
    cycles = [float(point.cycle_time) for point in found.points]
    ax.plot(across, cycles, color=QUIET, linewidth=0.9, zorder=3, gid="curve")
    for proven, face in ((True, BOUNDARY), (False, "#ffffff")):
        chosen = [n for n, point in enumerate(found.points) if point.proven == proven]
        ax.plot(
            [across[n] for n in chosen],
            [cycles[n] for n in chosen],
            linestyle="none",
            marker="o",
            markersize=6,
            markerfacecolor=face,
            markeredgecolor=BOUNDARY,
            zorder=4,
            gid="proven" if proven else "not-proven",
        )
    ax.set_xlabel(title, color=TEXT)
    ax.margins(x=0.12, y=0.16)
    ax.set_facecolor(LANE[1])
    ax.grid(color=RULE, linewidth=0.6)
    ax.set_axisbelow(True)
    ax.tick_params(color=QUIET, labelcolor=TEXT)
    ax.ticklabel_format(useOffset=False, style="plain")
    for spine in ax.spines.values():
        spine.set_color(QUIET)


def _headings(figure: Figure, found: TradeOff, high: float) -> None:
    first = found.points[0].forgives
    assert first is not None
    hollow = "" if all(point.proven for point in found.points) else "   ·   hollow: not proved"
    facts = (
        f"each point: most {found.measure} at its cycle time, degree {found.shortest.degree}"
        f"   ·   under {under(first)}{hollow}"
    )
    place: dict[str, Any] = {"color": TEXT, "parse_math": False, "va": "baseline"}
    name = wrapped(found.problem.name, 90).split("\n")[0]
    figure.text(0.08, 1 - 0.42 / high, name, fontsize=12, fontweight="bold", **place)
    figure.text(0.08, 1 - 0.72 / high, wrapped(facts, 150).split("\n")[0], fontsize=8.5, **place)


def _label(ax: Axes, found: TradeOff, text: Callable[[Point], str]) -> None:
    """The figures beside each point, within the axes and clear of each other.

    Left out where there are too many to read, and where no side of a point is free.
    """
    if len(found.points) > MOST_LABELS:
        return
    value = _share if ax.get_xlabel().startswith("loads") else _good
    inside = ax.get_window_extent()
    taken = _along(
        [
            ax.transData.transform((value(found, point), float(point.cycle_time)))
            for point in found.points
        ]
    )
    boxes: list[Any] = []
    for point in found.points:
        place = (value(found, point), float(point.cycle_time))
        for side in _SIDES:
            label = ax.annotate(
                text(point), place, **side, textcoords="offset points", fontsize=7, color=TEXT,
                parse_math=False, zorder=5, gid="point",
            )  # fmt: skip
            box = label.get_window_extent()
            within = inside.x0 <= box.x0 and box.x1 <= inside.x1
            within = within and inside.y0 <= box.y0 and box.y1 <= inside.y1
            clear = not any(box.overlaps(other) for other in boxes)
            clear = clear and not any(box.contains(*spot) for spot in taken)
            if within and clear:
                boxes.append(box)
                break
            label.remove()


def _along(corners: list[Any]) -> list[tuple[float, float]]:
    """Spots on the line through the points, close enough to each other to find a label by."""
    spots = [(float(x), float(y)) for x, y in corners]
    for (x, y), (to_x, to_y) in pairwise(spots.copy()):
        count = 1 + int(max(abs(to_x - x), abs(to_y - y)) / 4)
        spots += [
            (x + (to_x - x) * part / count, y + (to_y - y) * part / count)
            for part in range(1, count)
        ]
    return spots


_SIDES: tuple[dict[str, Any], ...] = (
    {"xytext": (8, 0), "ha": "left", "va": "center"},
    {"xytext": (-8, 0), "ha": "right", "va": "center"},
    {"xytext": (6, 6), "ha": "left", "va": "bottom"},
    {"xytext": (-6, -6), "ha": "right", "va": "top"},
    {"xytext": (0, 8), "ha": "center", "va": "bottom"},
    {"xytext": (0, -8), "ha": "center", "va": "top"},
)
