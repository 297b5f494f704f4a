"""The time-way diagram: lanes, texts and the whole page; nothing collides."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction as F
from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from hoistopt.analysis.figures.cautions import SEVERAL, STANDING
from hoistopt.base.numbers.decimals import brief
from hoistopt.problem import Problem, load_problem
from hoistopt.show.drawing.axes import foot
from hoistopt.show.drawing.look import own_look
from hoistopt.show.drawing.wording import tick_step, wrapped
from hoistopt.show.timeway import draw_timeway
from hoistopt.show.timeway.lanes import places, track_order, window_levels
from hoistopt.show.timeway.scene import Bar
from tests.helpers.hoists.two_hoists import TWO
from tests.helpers.shown.drawn_line import (
    long_line,
    one_at_a_time,
    twin_line,
    twin_replay,
    twin_schedule,
)
from tests.helpers.shown.drawn_parts import drawn, rectangles, texts

ODD_NAMES = ["$x_1$ and $y^2$", "$\\frac{", "<x>&\"'_^%#", "X" * 80, "a b " * 19 + "abcd", "脱脂槽"]


# -- lanes ---------------------------------------------------------------------------


def stations(*positions: float | None) -> Problem:
    """Stations named by their place in the list, at the given positions."""
    ends = [{"name": "In", "kind": "load-unload", "position": -1}]
    listed = [
        {"name": str(n)} | ({} if p is None else {"position": p}) for n, p in enumerate(positions)
    ]
    return Problem.from_data(
        {
            "name": "Order",
            "hoist": {"lift": 1, "lower": 1, "loaded": {"speed": 1}, "empty": {"speed": 1}},
            "station": [*ends, *listed, {"name": "T", "position": 99}],
            "recipe": [{"name": "R", "stage": [{"station": "T", "min": 1}]}],
        }
    )


@pytest.mark.parametrize(
    ("positions", "order"),
    [
        ((3, 1, 2), "120"),
        ((5, 5, 5), "012"),
        ((5, 2, 5, 2), "1302"),
        ((None, None), "01"),
        ((4, None, 2, None, 4), "23014"),
    ],
)
def test_lanes_follow_the_track_then_the_list(positions: tuple[float | None, ...], order: str):
    names = [station.name for station in track_order(stations(*positions))]
    assert names[0] == "In"
    assert "".join(name for name in names if name not in ("In", "T")) == order


def test_labels_run_down_the_page_in_track_order_with_positions() -> None:
    problem = stations(3, 1.5, 3)
    recipe = problem.recipes[0].name
    replay = twin_replay(twin_line())
    replay = replace(
        replay,
        runs=tuple(
            replace(r, recipe=recipe, source="In", target="T", came_from="0") for r in replay.runs
        ),
        stays=(),
    )
    ax = draw_timeway(problem, twin_schedule(twin_line()), replay)
    assert texts(ax, "station") == ["In", "1", "0", "2", "T"]
    assert texts(ax, "position") == ["-1", "1.5", "3", "3", "99"]
    assert ax.yaxis_inverted()
    heights = [text.xy[1] for text in ax.texts if text.get_gid() == "station"]
    gaps = [below - above for above, below in pairwise(heights)]
    assert max(gaps) == pytest.approx(min(gaps))


def test_stations_without_positions_have_no_position_column() -> None:
    data = twin_line().to_data()
    for station in data["station"]:
        del station["position"]
    names = [station["name"] for station in data["station"]]
    pairs = [{"from": a, "to": b, "time": 9} for a in names for b in names if a != b]
    problem = Problem.from_data(data | {"times": {"loaded": pairs, "empty": pairs}})
    ax = draw_timeway(problem, twin_schedule(problem), twin_replay(problem))
    assert texts(ax, "position") == []
    assert [text.split("\n")[0] for text in texts(ax, "station")] == names


@st.composite
def bar_lists(draw: st.DrawFn) -> list[Bar]:
    """Stays in two stations, each of some length, with or without a greatest time."""
    bars = []
    for _ in range(draw(st.integers(0, 12))):
        since = F(draw(st.integers(-20, 60)))
        until = since + draw(st.integers(1, 30))
        least = since + draw(st.integers(0, 30))
        most = draw(st.none() | st.integers(0, 60).map(lambda more, least=least: least + more))
        station = draw(st.sampled_from("AB"))
        dwell = Decimal(int(until - since))
        bars.append(Bar(station, "R", 1, since, until, least, most, dwell, True, True))
    return bars


@given(bar_lists())
def test_bars_that_overlap_in_time_never_share_a_row(bars: list[Bar]) -> None:
    rows = places(bars)
    for (one, a), (other, b) in combinations(zip(bars, rows, strict=True), 2):
        overlap = one.since < other.until and other.since < one.until
        assert not (one.station == other.station and overlap and a == b)


@given(bar_lists())
def test_there_are_no_more_rows_than_carriers_at_once(bars: list[Bar]) -> None:
    rows = places(bars)
    for name in "AB":
        here = [bar for bar in bars if bar.station == name]
        crowd = max((sum(b.since <= t.since < b.until for b in here) for t in here), default=0)
        used = {row for row, bar in zip(rows, bars, strict=True) if bar.station == name}
        assert used == set(range(crowd))


@given(bar_lists())
def test_high_windows_of_one_row_never_overlap(bars: list[Bar]) -> None:
    rows = places(bars)
    ends = [max(bar.until, bar.least) if bar.most is None else bar.most for bar in bars]
    levels = window_levels(bars, rows, ends)
    marked = list(zip(bars, rows, ends, levels, strict=True))
    for (one, a, end, high), (other, b, far, also) in combinations(marked, 2):
        if (one.station, a, high, also) == (other.station, b, 0, 0):
            assert end <= other.least or far <= one.least


# -- the whole page ------------------------------------------------------------------


def page(ax: Axes) -> Figure:
    assert isinstance(ax.figure, Figure)
    with own_look():
        FigureCanvasAgg(ax.figure).draw()
    return ax.figure


def cases() -> list[tuple[str, Problem]]:
    return [
        ("5", long_line(5)),
        ("30", long_line(30, recipes=3)),
        ("60", long_line(60)),
        ("odd names", long_line(8, ODD_NAMES)),
        ("9 recipes", long_line(5, recipes=9)),
    ]


@pytest.mark.parametrize(("name", "problem"), cases(), ids=[name for name, _ in cases()])
def test_nothing_leaves_the_page_and_no_texts_collide(name: str, problem: Problem) -> None:
    ax = draw_timeway(problem, *one_at_a_time(problem))
    whole = page(ax).bbox
    inside = ax.get_window_extent()
    legend = ax.get_legend()
    assert legend is not None
    # Those of the bars stand within the axes.
    around = [text for text in ax.texts if text.get_gid() not in ("load", "beside")]
    boxes = {text: text.get_window_extent() for text in around}
    boxes |= {text: text.get_window_extent() for text in legend.get_texts()}
    ticks = [label for label in ax.get_xticklabels() if label.get_text()]
    boxes |= {label: label.get_window_extent() for label in ticks}
    boxes[ax.xaxis.label] = ax.xaxis.label.get_window_extent()
    for text, box in boxes.items():
        assert whole.x0 <= box.x0, text
        assert box.x1 <= whole.x1, text
        assert whole.y0 <= box.y0, text
        assert box.y1 <= whole.y1, text
        assert not inside.padded(-1).overlaps(box), text
    for (one, a), (other, b) in combinations(boxes.items(), 2):
        assert not a.padded(-0.5).overlaps(b.padded(-0.5)), (one, other)
    assert legend.get_window_extent().y1 < inside.y0


def test_the_page_grows_with_the_line() -> None:
    sizes = []
    for count in (5, 30, 60):
        problem = long_line(count)
        sizes.append(page(draw_timeway(problem, *one_at_a_time(problem))).get_size_inches())
    (w5, h5), (w30, h30), (w60, h60) = sizes
    assert h5 < h30 < h60
    assert w5 <= w30 < w60 < 40
    assert h30 / 30 > 0.35
    assert h60 / 60 > 0.35


def test_odd_names_are_shown_as_they_are() -> None:
    problem = long_line(8, ODD_NAMES)
    ax = draw_timeway(problem, *one_at_a_time(problem))
    shown = ["".join(text.split("\n")) for text in texts(ax, "station")]
    assert [name.replace(" ", "") for name in ["In", *ODD_NAMES, "Out"]] == [
        name.replace(" ", "") for name in shown
    ]
    legend = ax.get_legend()
    assert legend is not None
    assert not any(text.get_parse_math() for text in [*ax.texts, *legend.get_texts()])


def test_the_legend_names_what_is_drawn_and_nothing_else() -> None:
    def labels(ax: Axes) -> list[str]:
        legend = ax.get_legend()
        assert legend is not None
        return [text.get_text() for text in legend.get_texts()]

    full = labels(drawn())
    assert full[0] == "carrier, recipe Parts"
    assert full[-1] == "cycle restarts"
    assert len(full) == 7
    replay = twin_replay(twin_line())
    bare = replace(
        replay,
        stays=tuple(replace(stay, most=None) for stay in replay.stays),
        runs=tuple(replace(run, waited=F(0)) for run in replay.runs),
    )
    assert set(full) - set(labels(drawn(bare))) == {
        "max. dwell would be reached",
        "hoist, waiting",
    }


def test_an_axes_given_is_drawn_on_and_its_figure_left_alone() -> None:
    figure = Figure(figsize=(9, 4))
    FigureCanvasAgg(figure)
    left, right = figure.subplots(1, 2)
    assert drawn(ax=right) is right
    assert len(rectangles(right)) == 7
    assert not left.patches
    assert not left.lines
    assert tuple(figure.get_size_inches()) == (9, 4)


# -- numbers and names ----------------------------------------------------------------


@given(
    st.fractions(F(1, 10), 10**6),
    st.sampled_from(["ms", "s", "min", "h"]),
    st.integers(1, 60),
)
def test_ticks_are_not_too_many_and_not_too_few(span: F, unit: str, most: int) -> None:
    step = tick_step(span, unit, most)
    assert step * most >= span
    assert step * most <= span * 3


@pytest.mark.parametrize(
    ("span", "unit", "most", "step"),
    [(1042, "s", 15, 120), (10, "s", 20, "0.5"), (90, "min", 10, 10), (3, "h", 7, "0.5")],
)
def test_ticks_are_at_usual_steps(span: int, unit: str, most: int, step: int | str) -> None:
    assert tick_step(F(span), unit, most) == F(step)


@given(st.decimals(-9999, 9999, places=3))
def test_figures_have_no_idle_zeros(value: Decimal) -> None:
    text = brief(F(value))
    assert Decimal(text) == value
    assert text == "0" or not (text.endswith("0") and "." in text)
    assert text != "-0"


@given(st.text(st.characters(categories=["L", "N", "P", "Zs"]), min_size=1, max_size=80))
def test_wrapping_keeps_every_character_but_spaces(name: str) -> None:
    lines = wrapped(name).split("\n")
    assert all(len(line) <= 40 for line in lines)
    assert "".join("".join(lines).split()) == "".join(name.split())


def test_a_picture_of_several_hoists_carries_both_cautions() -> None:
    said = " ".join(foot(load_problem(TWO), 300).split())
    assert SEVERAL in said and said.endswith(STANDING)
