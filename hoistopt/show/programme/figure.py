"""The diagram of a programme: stations along the track, time along the other axis, loads as bars.

Bars carry the number of their load and the look of its recipe; a frame of broken lines marks
a beginning in doubt, the word "lost" a dwell beyond its maximum. Below a bar a line runs from the
minimum to the maximum dwell: from when and until when the carrier may be lifted. The hoist's way
is a thick line with a load, a thin one without.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from ...analysis.figures.cautions import standing
from ...base.numbers.decimals import as_decimal, told
from ...base.text import clean, listed, load_name
from ...checker import LoadStay, ProgrammeReplay
from ...problem import Problem
from ..drawing.axes import FOOT, add_footer, foot, foot_height, new_figure
from ..drawing.faults import fault_lines, heading, mark_faults, stamp
from ..drawing.look import own_look
from ..drawing.palette import BOUNDARY, EMPTY, HOIST, LANE, QUIET, REST, RULE, TEXT, WRONG, paint
from ..drawing.wording import tick_step, wrapped
from ..timeway.bars import MAX_MARK, MIN_MARK
from .cautions import cautions
from .hoists import draw_ways, hoist_signs
from .rows import tick_of

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_LEFT, _RIGHT, _TOP, _BOTTOM, _MARGIN = 1.9, 0.3, 0.75, 0.95, 0.15
_ROW, _BAR, _WINDOW = 0.3, 0.62, (0.84, 0.95)
"""Inches of a row; parts of it: the height of a bar, and where the line of its window runs, the
second where it would cover that of the load before."""
_ABOVE = 0.1
_MIN, _MAX = {**MIN_MARK, "markersize": 2.2}, {**MAX_MARK, "markersize": 3.0}
_WIDEST, _NARROWEST = 40.0, 9.0
_MOVE = {False: 0.16, True: 0.26}
"""Inches of width a move, with one hoist and with several, which have marks."""


def draw_programme(seen: ProgrammeReplay) -> Figure:
    """Draw a programme; one that breaks rules is stamped as refused, and they are marked.

    Returns
    -------
    matplotlib.figure.Figure
        Outside of pyplot, in the size it wants to have.
    """
    problem = seen.problem
    with own_look([problem.name, problem.note, *(s.name for s in problem.stations)]):
        return _drawn(seen)


def _drawn(seen: ProgrammeReplay) -> Figure:
    problem = seen.problem
    rows = _rows(problem, seen)
    lanes = max((row + size for row, size in rows.values()), default=1)
    several = len(problem.hoists) > 1
    width = min(_WIDEST, max(_NARROWEST, 3 + len(seen.runs) * _MOVE[several]))
    faults = "\n".join(fault_lines(seen.violations, (width - 0.6) * 72))
    listed_in = foot_height(faults) + 0.1 if faults else 0.0
    said = standing(several) if seen.violations else cautions(seen)
    footed = foot_height(foot(problem, (width - 0.6) * 72, said))
    below = _MARGIN + footed + listed_in + _BOTTOM
    height = lanes * _ROW + _TOP + below + (0.25 if faults else 0)
    figure = new_figure(width, height)
    box = (
        _LEFT / width, below / height,
        1 - (_LEFT + _RIGHT) / width, lanes * _ROW / height,
    )  # fmt: skip
    ax = figure.add_axes(box)
    _frame(ax, seen, rows, lanes)
    _windows(ax, seen, _bars(ax, seen, rows))
    _way(ax, seen, rows)
    _title(ax, seen)
    reach = add_footer(figure, problem, 0.3, _MARGIN, said)
    if faults:
        _refused(ax, seen, rows)
        figure.text(
            0.3 / width, (reach + 0.1) / height, faults, fontsize=FOOT, color=TEXT, va="bottom",
            linespacing=1.5, parse_math=False, gid="faults",
        )  # fmt: skip
    return figure


def _refused(ax: Axes, seen: ProgrammeReplay, rows: dict[str, tuple[int, int]]) -> None:
    """The stamp, the heading, and a numbered cross where a rule is broken."""
    middle = {name: row + size / 2 for name, (row, size) in rows.items()}
    end = float(seen.finish)
    mark_faults(
        ax,
        (
            (min(max(0.0, float(one.time)), end), middle[one.station], number)
            for number, one in enumerate(seen.violations, start=1)
            if one.station in middle
        ),
    )
    stamp(ax)
    ax.annotate(
        heading(seen.violations), (0, 1), xytext=(0, 38), xycoords="axes fraction",
        textcoords="offset points", fontsize=10, fontweight="bold", color=WRONG, gid="warning",
    )  # fmt: skip


def _rows(problem: Problem, seen: ProgrammeReplay) -> dict[str, tuple[int, int]]:
    """First row and number of rows of each station that is used, along the track."""
    used = {run.source for run in seen.runs} | {run.target for run in seen.runs}
    used |= {stay.station for stay in seen.stays}
    named = [station for station in problem.stations if station.name in used]
    if all(station.position is not None for station in named):
        named.sort(key=lambda station: station.position or 0)
    found, row = {}, 0
    for station in named:
        within = any(stay.station == station.name for stay in seen.stays)
        size = station.capacity if within and isinstance(station.capacity, int) else 1
        found[station.name] = (row, size)
        row += size
    return found


def _frame(ax: Axes, seen: ProgrammeReplay, rows: dict[str, tuple[int, int]], lanes: int) -> None:
    end = float(seen.finish) or 1.0
    for number, (row, size) in enumerate(rows.values()):
        ax.axhspan(row, row + size, color=LANE[number % 2], zorder=0)
    ax.set_ylim(lanes, 0)  # the first station on top, as in the diagram of a cycle
    ax.set_xlim(-0.01 * end, 1.01 * end)
    ax.set_yticks([row + size / 2 for row, size in rows.values()])
    ax.set_yticklabels([wrapped(clean(name), 26) for name in rows])
    width = ax.get_figure().get_size_inches()[0]  # type: ignore[union-attr]
    step = tick_step(Fraction(seen.finish) or Fraction(1), seen.problem.unit, int(width))
    count = int(seen.finish // step) + 1
    ax.set_xticks([float(step * number) for number in range(count)])
    ax.set_xticklabels([told(step * number) for number in range(count)])
    ax.set_xlabel(f"time from the state the programme begins with [{seen.problem.unit}]")
    ax.xaxis.label.set_color(QUIET)
    ax.grid(axis="x", color=RULE, linewidth=0.7)
    ax.set_axisbelow(True)
    ax.tick_params(color=QUIET, labelcolor=TEXT, labelsize=7.5, length=3)
    for spine in ax.spines.values():
        spine.set_color(RULE)


def _bars(
    ax: Axes, seen: ProgrammeReplay, rows: dict[str, tuple[int, int]]
) -> list[tuple[LoadStay, int]]:
    """A bar for each stay; which are drawn, and in which row."""
    from matplotlib.patches import Rectangle

    number = {recipe.name: place for place, recipe in enumerate(seen.problem.recipes)}
    free: dict[str, list[Fraction]] = {}
    drawn: list[tuple[LoadStay, int]] = []
    over = {(one.load, one.stage) for one in seen.overstays}
    for stay in sorted(seen.stays, key=lambda stay: (stay.since.least, stay.load)):
        until = seen.finish if stay.until is None else stay.until
        lost = (stay.load, stay.stage) in over
        since = max(Fraction(0), stay.since.most)
        if since >= until:
            continue  # set down as the last move ends
        row, size = rows[stay.station]
        slot = _slot(free.setdefault(stay.station, [Fraction(-(10**9))] * size), stay, until)
        drawn.append((stay, row + slot))
        look = paint(number[stay.recipe])
        doubt = not stay.since.exact
        bar = Rectangle(
            (float(since), row + slot + _ABOVE), float(until - since), _BAR,
            facecolor=look.fill, edgecolor=look.line, hatch=look.pattern, linewidth=0.7,
            linestyle="--" if doubt else "-", zorder=2,
        )  # fmt: skip
        bar.set_gid("stay")
        ax.add_patch(bar)
        rest = float(seen.problem.station_by_name[stay.station].min_rest)
        if rest and stay.until is not None:
            left = Rectangle((float(until), row + slot + _ABOVE), rest, _BAR, **REST, zorder=1.5)
            left.set_gid("rest")
            ax.add_patch(left)
        # A load that is lost is named in full, from the end of its bar that is farther inside,
        # and over the hoist's way: its name may be wider than its bar.
        where, side = float(since + until) / 2, "center"
        if lost:
            where, side = (
                (float(since), "left") if 2 * where < seen.finish else (float(until), "right")
            )
        ax.text(
            where, row + slot + _ABOVE + _BAR / 2, load_name(stay.load) + (" lost" if lost else ""),
            fontsize=6.5, weight="bold" if lost else "normal", ha=side, va="center", color=TEXT,
            zorder=6 if lost else 4.2, clip_on=True, gid="load",
            bbox={"facecolor": look.fill, "edgecolor": "none", "pad": 0.6},
        )  # fmt: skip
    return drawn


def _windows(ax: Axes, seen: ProgrammeReplay, drawn: Sequence[tuple[LoadStay, int]]) -> None:
    """Below each bar, from when and until when its carrier may be lifted, whatever is in doubt."""
    end = seen.finish
    covered: dict[int, tuple[Fraction, int]] = {}  # by row: until when, at which of the two
    for stay, row in drawn:
        least = min(max(Fraction(0), stay.since.most + stay.least), end)
        most = end if stay.most is None else min(stay.since.least + stay.most, end)
        if least > most or (stay.most is None and not stay.least):
            continue
        before, at = covered.get(row, (Fraction(-1), 0))
        at = 1 - at if least <= before else 0
        covered[row] = most, at
        level = row + _WINDOW[at]
        ax.plot(
            [float(least), float(most)], [level, level], color=TEXT, linewidth=0.8, zorder=3.5,
            gid="window",
        )  # fmt: skip
        ax.plot([float(least)], [level], **_MIN, zorder=3.6, gid="min")
        if stay.most is not None and most < end:
            ax.plot([float(most)], [level], **_MAX, zorder=3.6, gid="max")


def _slot(free: list[Fraction], stay: LoadStay, until: Fraction) -> int:
    """A row of the station that no other load has at the time."""
    slot = min(range(len(free)), key=lambda place: (free[place] > stay.since.least, place))
    free[slot] = until
    return slot


def _way(ax: Axes, seen: ProgrammeReplay, rows: dict[str, tuple[int, int]]) -> None:
    middle = {name: row + size / 2 for name, (row, size) in rows.items()}
    if len(seen.problem.hoists) > 1:
        draw_ways(ax, seen, middle)
        return
    last: tuple[float, float] | None = None
    hoist = seen.course.state.hoist
    if hoist is not None and hoist.station in middle:
        last = (max(0.0, float(hoist.free_in.most)), middle[hoist.station])
    for run in seen.runs:
        start, end = float(run.start), float(run.end)
        here, there = middle[run.source], middle[run.target]
        if last is not None:
            # The hoist goes at once and waits where it is needed.
            ax.plot(
                [last[0], start], [last[1], here], color=EMPTY, linewidth=0.6,
                linestyle=(0, (4, 2)), zorder=4, gid="empty",
            )  # fmt: skip
        ax.plot([start, end], [here, there], color=HOIST, linewidth=1.6, zorder=5, gid="loaded")
        last = (end, there)


def _lost(seen: ProgrammeReplay) -> str:
    loads = sorted({one.load for one in seen.overstays})
    return f"; LOST: {listed([str(load) for load in loads])}" if loads else ""


def _title(ax: Axes, seen: ProgrammeReplay) -> None:
    programme, unit = seen.programme, seen.problem.unit
    until = f"finish {as_decimal(seen.finish, tick_of(seen)):f} {unit}"
    if programme.repeats is not None:
        since = programme.time(programme.repeats.since)
        every = programme.time(programme.repeats.every)
        until = f"a cycle of {told(every)} {unit} from {told(since)} {unit} on"
        ax.axvline(float(since), color=BOUNDARY, linewidth=1.2, zorder=3, gid="joining")
    ax.set_title(
        f"{clean(seen.problem.name)}: programme of {len(seen.runs)} moves, {until}{_lost(seen)}",
        loc="left", fontsize=10, color=TEXT, pad=22,
    )  # fmt: skip
    width = ax.get_figure().get_size_inches()[0]  # type: ignore[union-attr]
    _legend(ax, seen, int((width - _LEFT - _RIGHT) / 0.95))
    cycle = "" if programme.repeats is None else "; upright: the cycle begins"
    cycle += "; below a bar: minimum to maximum dwell"
    lines = "thick: hoist with a load; thin: from its last move to the next, travel and waiting"
    if len(seen.problem.hoists) > 1:
        lines = (
            "thick: with a load; broken: travelling empty; dotted: waiting; marks: where it lifts "
            "and has set down; shaded: two hoists nearest to one another"
        )
    ax.annotate(
        wrapped(f"{lines}{cycle}", int((width - 2.2) * 19)),
        (0, 0), xytext=(0, -38), xycoords="axes fraction", textcoords="offset points",
        ha="left", va="top", fontsize=7, color=QUIET, linespacing=1.4,
    )  # fmt: skip


def _legend(ax: Axes, seen: ProgrammeReplay, columns: int) -> None:
    """The signs above the diagram: recipes, a beginning in doubt, rests, and whose a mark is."""
    from matplotlib.patches import Patch

    problem = seen.problem
    drawn = {stay.recipe for stay in seen.stays}
    signs: list[Artist] = []
    for number, recipe in enumerate(problem.recipes):
        look = paint(number)
        if recipe.name in drawn:
            signs.append(
                Patch(
                    facecolor=look.fill, edgecolor=look.line, hatch=look.pattern, linewidth=0.7,
                    label=clean(recipe.name),
                )
            )  # fmt: skip
    if any(not stay.since.exact for stay in seen.stays):
        signs.append(
            Patch(
                facecolor="none", edgecolor=TEXT, linestyle="--", linewidth=0.7,
                label="since when is in doubt",
            )
        )  # fmt: skip
    if any(patch.get_gid() == "rest" for patch in ax.patches):
        signs.append(Patch(**REST, label="rest of a tank"))
    signs += hoist_signs(problem)
    ax.legend(
        handles=signs, loc="lower left", bbox_to_anchor=(0, 1.0), borderaxespad=0.3,
        ncols=max(2, min(len(signs), columns)), fontsize=7, frameon=False, labelcolor=TEXT,
    )  # fmt: skip
