"""A stretch of a log as a time-way diagram: who stood where, and the hoist's way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ...base.errors import InputError
from ...plant.judging.judge import JudgedLog
from ..drawing.axes import add_footer, foot, foot_height, new_figure
from ..drawing.look import own_look
from ..drawing.palette import EMPTY, FILLS, HOIST, LANE, QUIET, RULE, TEXT, WRONG
from ..drawing.wording import wrapped
from ..timeway.lanes import track_order
from .dwells import head, names_of
from .shown import SECOND, moment
from .time_axis import dated, moments

if TYPE_CHECKING:
    import polars as pl
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

HOUR = 3600 * SECOND
LONGEST = 24 * HOUR
MOST_EVENTS = 4000
# Sizes in inches.
LANE_HEIGHT, ABOVE, BELOW, LEFT = 0.36, 1.0, 0.75, 1.9
LEAST_WIDTH, MOST_WIDTH, PER_EVENT = 10.5, 34.0, 0.06
_BAR = 0.5
_LOOKS: dict[str, dict[str, Any]] = {
    "within": {"color": FILLS[0], "edgecolor": TEXT},
    "over": {"color": WRONG, "edgecolor": TEXT, "hatch": "xxxx"},
    "under": {"color": FILLS[1], "edgecolor": TEXT, "hatch": "////"},
    "not judged": {"color": "#ffffff", "edgecolor": QUIET, "hatch": "...."},
}


@dataclass(frozen=True)
class Stretch:
    """A part of a log, from `begin` to `end`, in microseconds UTC."""

    begin: int
    end: int


def stretch_of(found: JudgedLog, begin: int | None, length: int | None) -> Stretch:
    """The part to draw: as asked, else the hour round the stay that was furthest over its
    maximum, else the first hour.

    Raises
    ------
    InputError
        When there is no event in it, or too many to draw.
    """
    import polars as pl

    length = HOUR if length is None else length
    times = found.log.frame.get_column("time")
    first, last = int(str(times.min())), int(str(times.max()))
    if begin is None:
        worst = max(found.stages, key=lambda stage: stage.most_over or 0, default=None)
        middle = worst.when_over if worst is not None else None
        begin = first if middle is None else max(first, middle - length * 3 // 4)
    zone = found.log.zone
    inside = found.log.frame.filter(pl.col("time").is_between(begin, begin + length)).height
    if not inside or length > LONGEST or inside > MOST_EVENTS:
        raise InputError(
            f"a time with 1 to {MOST_EVENTS} events, at most 24 h",
            field="--at, --for",
            value=f"{moment(begin, zone)}, {length // SECOND} s, {inside} events",
            way_out=f"The log runs from {moment(first, zone)} to {moment(last, zone)}.",
        )
    return Stretch(begin, begin + length)


def draw_stretch(found: JudgedLog, part: Stretch) -> Figure:
    """Bars for stays, their colour and pattern by verdict, over lanes in track order; the hoist's
    loaded moves as lines, dotted between them.

    Parameters
    ----------
    found : JudgedLog
    part : Stretch
        As :func:`stretch_of` gives it.
    """
    import polars as pl

    problem, zone = found.problem, found.log.zone
    lanes = {station.name: n for n, station in enumerate(track_order(problem))}
    events = found.log.frame.filter(pl.col("time").is_between(part.begin, part.end))
    wide = min(MOST_WIDTH, max(LEAST_WIDTH, len(events) * PER_EVENT)) + LEFT
    below = BELOW + foot_height(foot(problem, wide * 0.96 * 72))
    height = len(lanes) * LANE_HEIGHT + ABOVE + below
    with own_look(names_of(found)):
        figure = new_figure(wide, height)
        ax = figure.add_axes(
            (
                LEFT / wide,
                below / height,
                1 - (LEFT + 0.3) / wide,
                len(lanes) * LANE_HEIGHT / height,
            )
        )
        _lanes(ax, lanes)
        _bars(ax, found, part, lanes)
        _way(ax, events, lanes)
        ax.set_xlim(*moments([part.begin, part.end]))
        dated(ax, zone)
        _key(ax)
        head(figure, found, f"time-way diagram from {moment(part.begin, zone)}")
        add_footer(figure, problem, 0.02 * wide, 0.1)
    return figure


def _lanes(ax: Axes, lanes: dict[str, int]) -> None:
    for name, lane in lanes.items():
        ax.axhspan(lane - 0.5, lane + 0.5, color=LANE[lane % 2], zorder=0, linewidth=0)
        ax.annotate(
            wrapped(name, 24), (0, lane), xycoords=ax.get_yaxis_transform(), xytext=(-6, 0),
            textcoords="offset points", ha="right", va="center", fontsize=8, color=TEXT,
            parse_math=False, gid="station",
        )  # fmt: skip
    ax.set_ylim(len(lanes) - 0.5, -0.5)
    ax.set_yticks([])
    ax.grid(axis="x", color=RULE, linewidth=0.7)
    ax.set_axisbelow(True)
    ax.tick_params(color=QUIET, labelcolor=TEXT, labelsize=8)
    for spine in ax.spines.values():
        spine.set_color(RULE)


def _bars(ax: Axes, found: JudgedLog, part: Stretch, lanes: dict[str, int]) -> None:
    import polars as pl

    begin = pl.coalesce("in", pl.col("out") - HOUR // 30)
    end = pl.coalesce("out", pl.col("in") + HOUR // 30)
    stays = found.stays.frame.with_columns(begin=begin, end=end).filter(
        (pl.col("begin") < part.end) & (pl.col("end") > part.begin)
    )
    for row in stays.iter_rows(named=True):
        left, right = moments([row["begin"], row["end"]])
        lane = lanes[row["station"]]
        look = {**_LOOKS[row["verdict"]], "linewidth": 0.6, "gid": f"stay-{row['verdict']}"}
        ax.barh(lane, right - left, left=left, height=_BAR, zorder=3, **look)
        limit = None if row["place"] is None else found.stages_by_place.get(row["place"])
        if limit is not None and limit.most is not None and row["in"] is not None:
            (latest,) = moments([row["in"] + limit.most])
            ax.plot([latest] * 2, [lane - 0.42, lane + 0.42], color=TEXT, linewidth=1.1, zorder=5,
                    gid="latest")  # fmt: skip
        label = row["carrier"] or str(row["load"])
        shown = min(row["end"], part.end) - max(row["begin"], part.begin)
        if shown * 14 > (part.end - part.begin) * len(label) / 12:
            (middle,) = moments([max(row["begin"], part.begin) + shown // 2])
            ax.text(
                middle, lane, label, ha="center", va="center", fontsize=6.5, color=TEXT, zorder=6,
                parse_math=False, clip_on=True, gid="carrier",
                bbox={"facecolor": "#ffffff", "edgecolor": "none", "pad": 0.6, "alpha": 0.85},
            )  # fmt: skip


def _way(ax: Axes, events: pl.DataFrame, lanes: dict[str, int]) -> None:
    """From each lift to the lower after it a line, and dotted from there to the next lift."""
    hoists = events.get_column("hoist").fill_null("").unique(maintain_order=True)
    for hoist in hoists:
        rows = events.filter(events.get_column("hoist").fill_null("") == hoist)
        times = moments(rows.get_column("time").to_list())
        places = [lanes[name] for name in rows.get_column("station").to_list()]
        kinds = rows.get_column("event").to_list()
        for n in range(len(times) - 1):
            loaded = kinds[n] == "lift" and kinds[n + 1] == "lower"
            ax.plot(
                times[n : n + 2], places[n : n + 2], zorder=4, solid_capstyle="round",
                color=HOIST if loaded else EMPTY, linewidth=1.4 if loaded else 0.7,
                linestyle="-" if loaded else (0, (1, 2)), gid="loaded" if loaded else "empty",
            )  # fmt: skip


def _key(ax: Axes) -> None:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    entries: list[Any] = []
    for name, look in _LOOKS.items():
        style = {("facecolor" if key == "color" else key): value for key, value in look.items()}
        entries.append(Patch(label=name, linewidth=0.6, **style))
    entries.append(Line2D([], [], color=TEXT, marker="|", linestyle="", label="latest lift"))
    entries.append(Line2D([], [], color=HOIST, linewidth=1.4, label="loaded move"))
    dots: dict[str, Any] = {"color": EMPTY, "linewidth": 0.7, "linestyle": (0, (1, 2))}
    entries.append(Line2D([], [], label="hoist until its next lift", **dots))
    ax.legend(
        handles=entries, loc="upper left", bbox_to_anchor=(0, 0), bbox_transform=ax.transAxes,
        borderaxespad=2.6, ncols=len(entries), fontsize=7, frameon=False, labelcolor=TEXT,
    )  # fmt: skip
