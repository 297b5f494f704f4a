"""Everything around the data: lanes and their labels, time, title, footer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from ...base.numbers.decimals import as_decimal, brief, mean_decimal
from ...base.text import counted
from ...checker.record import Violation
from ...problem import Problem
from ..drawing.axes import FOOT, foot
from ..drawing.faults import fault_lines, heading
from ..drawing.palette import BOUNDARY, LANE, QUIET, RULE, TEXT, WRONG
from ..drawing.wording import tick_step, wrapped
from .lanes import Lane
from .scene import Scene

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.text import Annotation

_TICK_EVERY = 48.0
_TALL = 14


def draw_lanes(ax: Axes, lanes: Mapping[str, Lane], span: float) -> None:
    """Strips in track order from the top down, with a faint rail for the hoist in each."""
    bottom = max(lane.top + lane.height for lane in lanes.values())
    ax.set_xlim(0, span)
    ax.set_ylim(bottom, 0)
    for number, lane in enumerate(lanes.values()):
        ax.axhspan(lane.top, lane.top + lane.height, color=LANE[number % 2], linewidth=0, zorder=0)
        ax.axhline(lane.rail, color=RULE, linewidth=0.7, zorder=0.6)


def label_lanes(ax: Axes, problem: Problem, lanes: Mapping[str, Lane]) -> float:
    """Names and positions to the left of the lanes.

    Returns
    -------
    float
        How far they reach to the left of the axes, in points.
    """
    placed = any(lane.station.position is not None for lane in lanes.values())
    reach = 8.0
    if placed:
        numbers = [
            _beside(ax, lane.middle, _position(lane), reach, color=QUIET, gid="position")
            for lane in lanes.values()
        ]
        unit = wrapped(f"[{problem.length_unit}]", 12) if problem.length_unit else ""
        numbers.append(_above(ax, f"position\n{unit}".strip(), reach))
        reach += _widest(ax, numbers) + 12
    names = [
        _beside(ax, lane.middle, _name(lane), reach, color=TEXT, fontsize=8.5, gid="station")
        for lane in lanes.values()
    ]
    names.append(_above(ax, "station", reach))
    return reach + _widest(ax, names)


def _name(lane: Lane) -> str:
    name = wrapped(lane.station.name)
    capacity = lane.station.capacity
    if lane.station.out_of_service:
        name = f"{name}\nout of service"
    return f"{name}\n{capacity} places" if isinstance(capacity, int) and capacity > 1 else name


def _position(lane: Lane) -> str:
    position = lane.station.position
    return "" if position is None else f"{position:f}"


def _beside(ax: Axes, height: float, text: str, reach: float, **style: Any) -> Annotation:
    return ax.annotate(
        text,
        (0, height),
        xycoords=ax.get_yaxis_transform(),
        xytext=(-reach, 0),
        textcoords="offset points",
        ha="right",
        va="center",
        annotation_clip=False,
        linespacing=1.05,
        parse_math=False,
        **style,
    )


def _above(ax: Axes, text: str, reach: float) -> Annotation:
    return ax.annotate(
        text,
        (0, 1),
        xycoords="axes fraction",
        xytext=(-reach, 5),
        textcoords="offset points",
        ha="right",
        va="bottom",
        color=QUIET,
        fontsize=7,
        linespacing=1.05,
        parse_math=False,
    )


def _widest(ax: Axes, texts: Sequence[Annotation]) -> float:
    pixels = max(text.get_window_extent().width for text in texts if text.get_text())
    return float(pixels / ax.figure.dpi * 72)


def draw_time(ax: Axes, scene: Scene, unit: str, lanes: int) -> None:
    """Ticks at usual steps, the cycle's restarts, and the cycles' names above."""
    points = ax.bbox.width / ax.figure.dpi * 72
    step = tick_step(scene.span, unit, int(points / _TICK_EVERY))
    ticks = [step * number for number in range(int(scene.span / step) + 1)]
    ax.set_xticks([float(tick) for tick in ticks], [brief(tick) for tick in ticks])
    ax.set_yticks([])
    tall = lanes >= _TALL
    ax.tick_params(axis="x", color=QUIET, labelcolor=TEXT, length=3, top=tall, labeltop=tall)
    ax.grid(axis="x", color=RULE, linewidth=0.6, zorder=0.5)
    ax.set_axisbelow(True)
    ax.set_xlabel(f"time from cycle start [{unit}]", color=TEXT, fontsize=8.5)
    for name, spine in ax.spines.items():
        spine.set_color(QUIET)
        spine.set_visible(name in ("top", "bottom") or not scene.steady)
    if not scene.steady:
        return
    cycles = int(scene.span / scene.cycle_time)
    for number in range(cycles + 1):
        restart = float(number * scene.cycle_time)
        ax.axvline(restart, clip_on=False, zorder=2.2, gid="restart", **RESTART)
        if number < cycles:
            ax.annotate(
                f"cycle {number + 1}",
                (restart + float(scene.cycle_time) / 2, 1),
                xycoords=ax.get_xaxis_transform(),
                xytext=(0, 17 if tall else 5),
                textcoords="offset points",
                ha="center",
                color=BOUNDARY,
                fontsize=8,
                gid="cycle",
                annotation_clip=False,
            )


RESTART: dict[str, Any] = {"color": BOUNDARY, "linewidth": 1.2, "dashes": (7, 2, 1.5, 2)}


def draw_title(
    ax: Axes, problem: Problem, scene: Scene, carriers: int, wrong: Sequence[Violation]
) -> float:
    """The line's name; below it what the cycle amounts to.

    Returns
    -------
    float
        How far they reach above the axes, in points.
    """
    name, above = wrapped(problem.name, 90), 64 if wrong else 48
    unit = problem.unit
    cycle = f"cycle time {_time(scene.cycle_time, scene)} {unit}"
    degree = scene.loads / len(problem.load_set)
    parts = [cycle, f"{counted(scene.loads, 'load')} per cycle"]
    if degree == int(degree) and scene.loads:
        parts[1] += f" (degree {int(degree)})"
    if scene.loads > 1:
        mean = mean_decimal(scene.cycle_time / scene.loads, scene.tick)
        parts.append(f"one load every {mean:f} {unit}")
    parts.append(counted(scene.moves, "move"))
    if carriers:
        parts.append(counted(carriers, "carrier"))
    if not scene.steady:
        parts.append("no repeating cycle reached")
    place: dict[str, Any] = {"xycoords": "axes fraction", "textcoords": "offset points"}
    ax.annotate(
        name,
        (0, 1),
        xytext=(0, above),
        fontsize=13,
        fontweight="bold",
        color=TEXT,
        parse_math=False,
        gid="title",
        **place,
    )
    ax.annotate(
        "   ·   ".join(parts), (0, 1), xytext=(0, 33), fontsize=9, color=TEXT, gid="facts", **place
    )
    if wrong:
        ax.annotate(
            heading(wrong),
            (0, 1),
            xytext=(0, 48),
            fontsize=10,
            fontweight="bold",
            color=WRONG,
            gid="warning",
            **place,
        )
    return above + 16.5 * (name.count("\n") + 1)


def _time(time: Fraction, scene: Scene) -> str:
    return f"{as_decimal(time, scene.tick):f}"


def draw_footer(ax: Axes, problem: Problem, below: float, wrong: Sequence[Violation] = ()) -> int:
    """Broken rules, how to read the bars, the line's note and the caution, under the axes.

    They begin `below` points under them.

    Returns
    -------
    int
        The number of lines.
    """
    reading = (
        f"In or beside the bars: load within its cycle (L1 is the first) · dwell in "
        f"{problem.unit}, rounded up."
    )
    width = ax.bbox.width / ax.figure.dpi * 72
    text = "\n".join([*fault_lines(wrong, width), reading, foot(problem, width)])
    ax.annotate(
        text,
        (0, 0),
        xycoords="axes fraction",
        xytext=(0, -below),
        textcoords="offset points",
        va="top",
        fontsize=FOOT,
        linespacing=1.5,
        color=QUIET,
        parse_math=False,
        gid="footer",
    )
    return text.count("\n") + 1
