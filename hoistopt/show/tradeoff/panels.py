"""The trade-off between cycle time and loads out of window, drawn: what one signs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from ...base.numbers.decimals import as_decimal, significant
from ...problem import Problem
from ..drawing.axes import add_footer, foot, foot_height, new_figure
from ..drawing.look import own_look
from ..drawing.palette import BOUNDARY, LANE, QUIET, RULE, TEXT
from ..drawing.wording import wrapped
from ..schedule.runnable import good_loads_an_hour, under

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from ...margin.figures import MarginFigures

WIDTH, HEIGHT = 11.0, 4.4
"""Of the figure without what stands at its foot, in inches."""
MOST_LABELS = 12


@dataclass(frozen=True)
class Spot:
    """A schedule as a point of both panels.

    Attributes
    ----------
    forgives : MarginFigures
        Its cycle time, and what came of it in the simulation.
    tick : Fraction
        Its grid, in the unit.
    proven : bool
        Whether it is proven to be the best; drawn hollow where not.
    """

    forgives: MarginFigures
    tick: Fraction
    proven: bool

    @property
    def cycle(self) -> float:
        """Planned cycle time."""
        return float(self.forgives.cycle_time)

    @property
    def out(self) -> float:
        """Loads out of window, in percent."""
        return 100 * self.forgives.out_of_window.share


def draw_panels(problem: Problem, spots: Sequence[Spot], what: str) -> Figure:
    """Loads out of window and good loads an hour, each against the cycle time.

    Both panels have the cycle time from bottom to top, to the same scale.

    Parameters
    ----------
    problem : Problem
        The line.
    spots : sequence of Spot
        One at least, in order of cycle time.
    what : str
        What each point is, for the heading.

    Returns
    -------
    matplotlib.figure.Figure
        Outside of pyplot.
    """

    def good(spot: Spot) -> float:
        return good_loads_an_hour(problem, spot.forgives)

    def share_text(spot: Spot) -> str:
        cycle = as_decimal(spot.forgives.cycle_time, spot.tick)
        return f"{significant(spot.out, 3)} % at {cycle:f} {problem.unit}"

    with own_look([problem.name, problem.note]):
        lines = foot_height(foot(problem, WIDTH * 0.96 * 72))
        high = HEIGHT + lines
        figure = new_figure(WIDTH, high)
        add_footer(figure, problem, 0.02 * WIDTH, 0.1)
        below, above = lines + 0.75, 1.0
        bottom, tall = below / high, (high - below - above) / high
        left = figure.add_axes((0.08, bottom, 0.38, tall))
        right = figure.add_axes((0.56, bottom, 0.38, tall), sharey=left)
        _panel(left, spots, [spot.out for spot in spots], "loads out of window [%]")
        _panel(right, spots, [good(spot) for spot in spots], "good loads an hour [1/h]")
        left.set_ylabel(f"cycle time [{problem.unit}]", color=TEXT)
        # Room for a mark at 0, and no share below it; 1 % at least, where none is lost.
        far = max(1.0, left.get_xlim()[1])
        left.set_xlim(-0.06 * far, far)
        left.set_xticks([tick for tick in left.get_xticks() if 0 <= tick <= far])
        right.tick_params(labelleft=False)
        _headings(figure, problem, spots, what, high)
        _label(left, [((spot.out, spot.cycle), share_text(spot)) for spot in spots])
        _label(
            right,
            [((good(spot), spot.cycle), significant(good(spot), 3)) for spot in spots],
        )
    return figure


def _panel(ax: Axes, spots: Sequence[Spot], across: list[float], title: str) -> None:
    cycles = [spot.cycle for spot in spots]
    ax.plot(across, cycles, color=QUIET, linewidth=0.9, zorder=3, gid="curve")
    for proven, face in ((True, BOUNDARY), (False, "#ffffff")):
        chosen = [n for n, spot in enumerate(spots) if spot.proven == proven]
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


def _headings(
    figure: Figure, problem: Problem, spots: Sequence[Spot], what: str, high: float
) -> None:
    hollow = "" if all(spot.proven for spot in spots) else "   \N{MIDDLE DOT}   hollow: not proved"
    facts = f"{what}   \N{MIDDLE DOT}   under {under(spots[0].forgives)}{hollow}"
    place: dict[str, Any] = {"color": TEXT, "parse_math": False, "va": "baseline"}
    name = wrapped(problem.name, 90).split("\n")[0]
    figure.text(0.08, 1 - 0.42 / high, name, fontsize=12, fontweight="bold", **place)
    figure.text(0.08, 1 - 0.72 / high, wrapped(facts, 150).split("\n")[0], fontsize=8.5, **place)


def _label(ax: Axes, labels: Sequence[tuple[tuple[float, float], str]]) -> None:
    """Text beside each place, within the axes and clear of the line and of each other.

    Left out where there are too many to read, and where no side of a place is free.
    """
    if len(labels) > MOST_LABELS:
        return
    inside = ax.get_window_extent()
    taken = _along([ax.transData.transform(place) for place, _ in labels])
    boxes: list[Any] = []
    for place, text in labels:
        for side in _SIDES:
            label = ax.annotate(
                text, place, **side, textcoords="offset points", fontsize=7, color=TEXT,
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
