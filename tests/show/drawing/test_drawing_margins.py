"""The time-way diagram: margins, windows one below the other, dwells beside short bars."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction as F
from itertools import combinations

import pytest
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from hoistopt.analysis.figures import report
from hoistopt.analysis.figures.dwells import margin_size
from hoistopt.checker.record import Replay
from hoistopt.problem import Problem
from hoistopt.show.drawing.axes import foot
from hoistopt.show.drawing.palette import NO_MARGIN, SMALL_MARGIN
from hoistopt.show.timeway import draw_timeway
from hoistopt.show.timeway.lanes import BAR, WINDOW
from tests.helpers.shown.contrast import ratio
from tests.helpers.shown.drawn_line import long_line, one_at_a_time, twin_line, twin_replay
from tests.helpers.shown.drawn_parts import drawn, line_points, paths, rectangles, texts
from tests.helpers.shown.report_lines import solved


def with_wash(**changes: F) -> Replay:
    """The hand-worked line with other figures of the stay in Wash, 30 of 20 to 40."""
    replay = twin_replay(twin_line())
    stays = tuple(
        replace(stay, **changes) if stay.station == "Wash" else stay for stay in replay.stays
    )
    return replace(replay, stays=stays)


def labels(ax: Axes) -> list[str]:
    legend = ax.get_legend()
    assert legend is not None
    return [text.get_text() for text in legend.get_texts()]


# -- margins ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("margin", "window", "size"),
    [("0", "20", "none"), ("2", "20", "small"), ("2.1", "20", "enough"), ("0.05", "0", "none")],
)
def test_a_tenth_of_the_window_is_a_small_margin(margin: str, window: str, size: str) -> None:
    assert margin_size(Decimal(margin), Decimal(window)) == size


@pytest.mark.parametrize(
    ("most", "marked", "words"),
    [
        (F(30), "none", "no margin to max. dwell"),
        (F(31), "small", "margin of at most 10% of the window"),
        (F(40), None, None),
    ],
)
def test_no_margin_and_a_small_one_have_signs_of_their_own(
    most: F, marked: str | None, words: str | None
) -> None:
    ax = drawn(with_wash(most=most))
    for kind in ("none", "small"):
        times = [x for x, _ in line_points(ax, f"margin-{kind}")]
        assert times == ([10 + most, 110 + most] if kind == marked else [])
    told = [label for label in labels(ax) if "margin" in label]
    assert told == ([] if words is None else [words])


def test_the_signs_differ_in_shape_and_can_be_seen() -> None:
    ax = drawn(with_wash(most=F(30)))
    lines = {line.get_gid(): line for line in ax.lines}
    none, small = lines["margin-none"], lines["margin-small"]
    assert isinstance(none, Line2D) and isinstance(small, Line2D)
    assert (none.get_markerfacecolor(), small.get_markerfacecolor()) == (NO_MARGIN, "#ffffff")
    # WCAG 2.2, success criterion 1.4.11, on the lighter of the two lanes.
    assert min(ratio(NO_MARGIN, "#ffffff"), ratio(SMALL_MARGIN, "#ffffff")) >= 3


# -- windows ----------------------------------------------------------------------------


def stacked(ax: Axes) -> list[float]:
    """The two heights at which windows of Wash are marked, in points."""
    FigureCanvasAgg(ax.figure).draw()
    slot = next(bar.get_y() for bar in rectangles(ax) if bar.get_x() == 10)
    ends = [ax.transData.transform((0, slot + level))[1] for level in WINDOW]
    return [float(end / ax.figure.dpi * 72) for end in ends]


def test_windows_one_below_the_other_are_apart_by_more_than_their_marks() -> None:
    """Two windows in one row: the first load's still open when the second's begins."""
    problem = Problem.from_data(
        twin_line().to_data()
        | {
            "station": [
                *twin_line().to_data()["station"],
                *({"name": f"T{n}", "position": 10 + n} for n in range(40)),
            ]
        }
    )
    replay = with_wash(most=F(140))
    ax = draw_timeway(problem, replay.schedule, replay)
    marks = {line.get_gid(): line for line in ax.lines if line.get_gid() in ("min", "max")}
    levels = {y for x, y in line_points(ax, "max") if x in (150, 250)}
    assert len(levels) == 2
    upper, lower = stacked(ax)
    for mark in marks.values():
        assert mark.get_markersize() <= upper - lower


def test_each_window_hangs_on_its_own_bar() -> None:
    ax = drawn(with_wash(most=F(140)))
    bars = {
        (bar.get_y() + BAR, bar.get_x(), bar.get_x() + bar.get_width()) for bar in rectangles(ax)
    }
    stems = paths(ax, "stems")
    assert len(stems) == len(bars)
    for (x, above), (same, below) in stems:
        assert x == same and above < below
        assert any(y == above and since <= x <= until for y, since, until in bars)
    ends = {(x, y) for _, (x, y) in stems}
    assert set(line_points(ax, "min")) == ends


def test_marks_of_a_window_without_width_do_not_cover_one_another() -> None:
    """The triangle ends where the bar across begins: its tip is the minimum."""
    ax = drawn(with_wash(least=F(30), most=F(30)))
    least = next(line for line in ax.lines if line.get_gid() == "min")
    box = least.get_marker()
    from matplotlib.markers import MarkerStyle

    style = MarkerStyle(box)
    extent = style.get_path().transformed(style.get_transform()).get_extents()
    assert extent.x1 == pytest.approx(0)


# -- dwells -----------------------------------------------------------------------------


def visible_bars(ax: Axes) -> int:
    left, right = ax.get_xlim()
    return sum(
        left <= bar.get_x() and bar.get_x() + bar.get_width() <= right for bar in rectangles(ax)
    )


@pytest.mark.parametrize(
    "name", ["quillhaven_anodising", "phillips_unger_1976", "hoist_limits", "mixed"]
)
def test_the_diagram_shows_every_dwell_as_the_table_does(name: str) -> None:
    """One rounding: what stands in or beside the bars is what stands in the dwell table."""
    problem, result = solved(name)
    assert result.schedule is not None and result.replay is not None
    ax = draw_timeway(problem, result.schedule, result.replay)
    whole = [text.split(" · ")[1] for text in texts(ax, "load") if " · " in text]
    beside = [text.split(" · ")[-1] for text in texts(ax, "beside")]
    table = {f"{row.dwell:f}" for row in report(problem, result.schedule, result.replay).dwells}
    assert table <= {*whole, *beside}


def test_a_dwell_without_a_short_decimal_is_rounded_up() -> None:
    """30 and a third on a grid of 1 is 31 everywhere; 31 is what the table says too."""
    replay = with_wash(until=None, least=F(20))
    stays = tuple(
        replace(stay, until=stay.since + F(91, 3)) if stay.station == "Wash" else stay
        for stay in replay.stays
    )
    ax = drawn(replace(replay, stays=stays))
    assert "L1 · 31" in texts(ax, "load")


def test_a_bar_too_short_for_anything_has_load_and_dwell_beside_it() -> None:
    replay = with_wash(least=F(1))
    stays = tuple(
        replace(stay, until=stay.since + 1) if stay.station == "Wash" else stay
        for stay in replay.stays
    )
    ax = drawn(replace(replay, stays=stays))
    assert texts(ax, "beside") == ["L1 · 1"] * 2


def solved_and_drawn(name: str) -> Axes:
    problem, result = solved(name)
    assert result.schedule is not None and result.replay is not None
    return draw_timeway(problem, result.schedule, result.replay)


@pytest.mark.parametrize("name", ["quillhaven_anodising", "phillips_unger_1976", "30", "60"])
def test_dwells_beside_bars_cover_no_bar_and_no_other_label(name: str) -> None:
    if name.isdigit():
        problem = long_line(int(name))
        ax = draw_timeway(problem, *one_at_a_time(problem))
    else:
        ax = solved_and_drawn(name)
    FigureCanvasAgg(ax.figure).draw()
    frame = ax.get_window_extent()
    boxes = [t.get_window_extent() for t in ax.texts if t.get_gid() in ("load", "beside")]
    for one, other in combinations(boxes, 2):
        assert not one.overlaps(other)
    bars = [bar.get_window_extent() for bar in rectangles(ax)]
    outside = [t.get_window_extent() for t in ax.texts if t.get_gid() == "beside"]
    assert outside
    for box in outside:
        assert frame.x0 <= box.x0 and box.x1 <= frame.x1
        assert not any(box.overlaps(bar) for bar in bars)


# -- the foot ---------------------------------------------------------------------------


def test_the_note_of_the_line_stands_at_the_foot() -> None:
    problem = Problem.from_data(twin_line().to_data() | {"note": "Invented: $no such$ line."})
    replay = twin_replay(problem)
    ax = draw_timeway(problem, replay.schedule, replay)
    (text,) = [text for text in ax.texts if text.get_gid() == "footer"]
    assert "Invented: $no such$ line." in text.get_text()
    assert not text.get_parse_math()


def test_a_very_long_note_is_cut_and_the_caution_stays() -> None:
    problem = Problem.from_data(twin_line().to_data() | {"note": "word " * 399})
    lines = foot(problem, 400).split("\n")
    assert len(lines) <= 9
    assert any(line.endswith("\N{HORIZONTAL ELLIPSIS}") for line in lines)
    assert lines[-1].endswith("licensed practice decide.")


def test_all_of_the_foot_is_on_the_page() -> None:
    problem = Problem.from_data(twin_line().to_data() | {"note": "Invented, all of it. " * 40})
    replay = twin_replay(problem)
    ax = draw_timeway(problem, replay.schedule, replay)
    figure = ax.figure
    assert isinstance(figure, Figure)
    FigureCanvasAgg(figure).draw()
    (text,) = [text for text in ax.texts if text.get_gid() == "footer"]
    box = text.get_window_extent()
    assert box.y0 >= 0
    assert box.x1 <= figure.bbox.x1
