"""Cycle time against a parameter, one curve for each setting of the others."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from ...analysis.study.levels import Value, written
from ...base.errors import InputError
from ..drawing.axes import PANEL_HEIGHT, PANEL_WIDTH, figure_of, finish_axes, key_below, new_figure
from ..drawing.look import own_look
from ..drawing.palette import FILLS, TEXT, WRONG
from ..drawing.wording import wrapped
from .data import with_unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from ...analysis.study import Parameter, Point, Study

MOST_CURVES = 12
MARKERS = ("o", "s", "^", "D", "v", "P")
STROKES: tuple[Any, ...] = ("-", (0, (5, 2)))


def curve_axis(study: Study) -> str | None:
    """The parameter to draw along: the first numeric one with several values, else the first.

    None for a list of designs, drawn one beside the other.

    Raises
    ------
    InputError
        When the other parameters make more curves than anyone can tell apart.
    """
    return axis_of(study.parameters)


def axis_of(parameters: Sequence[Parameter]) -> str | None:
    """As :func:`curve_axis`, before there is a study."""
    if not parameters:
        return None
    several = [p for p in parameters if len(p.levels) > 1] or list(parameters)
    chosen = next((p for p in several if p.numeric), several[0])
    curves = 1
    for parameter in parameters:
        curves *= 1 if parameter is chosen else len(parameter.levels)
    if curves > MOST_CURVES:
        raise InputError(
            f"at most {MOST_CURVES} curves to draw",
            value=curves,
            way_out="Give fewer values to all parameters but one, or leave the picture out.",
        )
    return chosen.name


def draw_curves(study: Study, ax: Axes | None = None) -> Axes:
    """Cycle time against a parameter.

    Where points differ in loads per cycle it is the mean time per load. Hollow points are
    not proved least: a line from them leads down to the bound. A cross at the top stands
    where there is no schedule, a question mark where none was found in time.

    Parameters
    ----------
    study : Study
    ax : matplotlib.axes.Axes, optional
        Where to draw; without it a figure of its own is made.
    """
    along = curve_axis(study)
    if ax is None:
        ax = new_figure(PANEL_WIDTH, PANEL_HEIGHT).add_subplot()
    with own_look([study.problem.name, *study.names]):
        ticks = _positions(study, along)
        per_load = len({point.loads_per_cycle for point in study.points}) > 1
        curves = _by_curve(study, along)
        placed = [
            [
                (ticks[n if along is None else point.settings[along]], point)
                for n, point in enumerate(points)
            ]
            for points in curves.values()
        ]
        looks = _looks([_timed(points, per_load) for points in placed])
        for number, (label, points, look) in enumerate(zip(curves, placed, looks, strict=True)):
            points.sort(key=lambda pair: pair[0])
            lined = along is not None
            _curve(ax, points, per_load, number, label, look, lined=lined)
        _finish(ax, study, along, ticks, per_load)
        if len(curves) > 1:
            equal = any(look.shift for look in looks)
            title = _others(study, along) + (" (equal points side by side)" if equal else "")
            key_below(ax, title, columns=min(6, len(curves)))
    return ax


@dataclass(frozen=True)
class _Look:
    """Of one curve: width of its line, and how far aside its points stand, in points."""

    width: float = 1.8
    shift: float = 0.0


# Of curves that lie on one another: the narrowest line, a step between two, and between
# their points; for many curves the steps get smaller.
_NARROW, _WIDER, _ASIDE, _WIDEST, _FARTHEST = 1.6, 2.6, 7.5, 12.0, 45.0


def _looks(curves: Sequence[Sequence[tuple[float, Fraction, Point]]]) -> list[_Look]:
    """Curves with a point in common: wide lines under narrow ones, points side by side."""
    held = Counter((x, y) for curve in curves for x, y in {(x, y) for x, y, _ in curve})
    meeting = [n for n, curve in enumerate(curves) if any(held[x, y] > 1 for x, y, _ in curve)]
    looks = [_Look() for _ in curves]
    last = len(meeting) - 1
    for rank, number in enumerate(meeting):
        wider, aside = min(_WIDER, _WIDEST / last), min(_ASIDE, _FARTHEST / last)
        looks[number] = _Look(_NARROW + wider * (last - rank), aside * (rank - last / 2))
    return looks


def _timed(
    placed: Sequence[tuple[float, Point]], per_load: bool
) -> list[tuple[float, Fraction, Point]]:
    """Place, time and point of those with a schedule."""
    return [(x, _time(p.cycle_time, p, per_load), p) for x, p in placed if p.cycle_time]


def _others(study: Study, along: str | None) -> str:
    return wrapped(", ".join(p.name for p in study.parameters if p.name != along), 60)


def _by_curve(study: Study, along: str | None) -> dict[str, list[Point]]:
    curves: dict[str, list[Point]] = {}
    for point in study.points:
        others = [written(v) for name, v in point.settings.items() if name != along]
        curves.setdefault("" if along is None else ", ".join(others), []).append(point)
    return curves


def _positions(study: Study, along: str | None) -> dict[Value, float]:
    """Where each value stands on the axis: to scale if all are numbers, else one by one."""
    if along is None:
        return {number: float(number) for number, _ in enumerate(study.points)}
    parameter = next(p for p in study.parameters if p.name == along)
    values = [level.value for level in parameter.levels]
    if parameter.numeric:
        return {value: float(value) for value in values if not isinstance(value, str | None)}
    return {value: float(number) for number, value in enumerate(values)}


def _curve(
    ax: Axes,
    placed: Sequence[tuple[float, Point]],
    per_load: bool,
    number: int,
    label: str,
    look: _Look,
    *,
    lined: bool,
) -> None:
    from matplotlib.transforms import ScaledTranslation

    colour = FILLS[number % len(FILLS)]
    timed = [(x, float(y), p) for x, y, p in _timed(placed, per_load)]
    aside = ax.transData + ScaledTranslation(look.shift / 72, 0, figure_of(ax).dpi_scale_trans)
    style = {} if lined else {"linestyle": "none"}
    ax.plot(
        [x for x, _, _ in timed],
        [y for _, y, _ in timed],
        **{"linestyle": STROKES[number // len(FILLS) % 2], **style},
        color=colour, linewidth=look.width, zorder=3, gid=f"curve-{number}",
    )  # fmt: skip
    for proven in (True, False):
        some = [(x, y) for x, y, p in timed if (p.status == "optimal") is proven]
        (marks,) = ax.plot(
            [x for x, _ in some], [y for _, y in some], linestyle="none",
            marker=MARKERS[number % len(MARKERS)], markersize=6.5,
            markerfacecolor=colour if proven else "#ffffff",
            markeredgecolor=TEXT, markeredgewidth=0.8, zorder=4,
            gid=f"{'proven' if proven else 'open'}-{number}",
        )  # fmt: skip
        # Only now, so that the shift has no part in the limits of the axes.
        marks.set_transform(aside)
    for x, y, point in timed:
        if point.status != "optimal" and point.answer.bound:
            bound = float(_time(point.answer.bound, point, per_load))
            (line,) = ax.plot(
                [x, x], [bound, y], color=colour, linewidth=1, zorder=2, gid="to-bound"
            )
            line.set_transform(aside)
    ax.plot(
        [], [], color=colour, linewidth=1.8, linestyle=STROKES[number // len(FILLS) % 2],
        marker=MARKERS[number % len(MARKERS)], markersize=5, markeredgecolor=TEXT,
        markeredgewidth=0.8, label=label,
    )  # fmt: skip
    for x, point in placed:
        if point.cycle_time is None:
            _without(ax, x, point, number)


def _time(time: Fraction | None, point: Point, per_load: bool) -> Fraction:
    assert time is not None
    return time / point.loads_per_cycle if per_load else time


def _without(ax: Axes, x: float, point: Point, number: int) -> None:
    """A sign at the top of the axes, each curve a little lower, for a point without a time."""
    sign = "x" if point.status == "infeasible" else "?"
    ax.annotate(
        sign, (x, 1), xycoords=ax.get_xaxis_transform(), xytext=(0, -8 - 9 * number),
        textcoords="offset points", ha="center", va="center", fontsize=9, fontweight="bold",
        color=WRONG, zorder=5, gid=f"without-{number}",
    )  # fmt: skip


def _finish(
    ax: Axes, study: Study, along: str | None, ticks: dict[Value, float], per_load: bool
) -> None:
    what = "mean time per load" if per_load else "cycle time"
    ax.set_ylabel(f"{what} [{study.problem.unit}]", fontsize=8, color=TEXT)
    axis = "design" if along is None else with_unit(along, study.problem)
    ax.set_xlabel(wrapped(axis, 70), fontsize=8, color=TEXT)
    numeric = along is not None and all(not isinstance(value, str | None) for value in ticks)
    if not numeric or len(ticks) <= 8:
        names = [p.design.label for p in study.points] if along is None else map(written, ticks)
        labels = [wrapped(name, 18) for name in names]
        ax.set_xticks(list(ticks.values()), labels)
    finish_axes(ax)
