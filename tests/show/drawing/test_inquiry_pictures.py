"""Pictures of inquiries: labels clear of bars and curves, and the foot on every one."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F
from itertools import combinations, pairwise
from typing import Any

import pytest
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from hoistopt import jitter, study, what_holds
from hoistopt.analysis.figures.cautions import STANDING
from hoistopt.analysis.study import Study
from hoistopt.base.numbers.shares import Share
from hoistopt.margin.figures import margin_figures
from hoistopt.show.drawing.axes import figure_of, finish_axes, new_figure
from hoistopt.show.jitter.figure import draw_jitter
from hoistopt.show.study.curves import draw_curves
from hoistopt.show.study.figure import draw_study
from hoistopt.show.tradeoff.panels import Spot, draw_panels
from hoistopt.show.why.figure import draw_holding
from tests.helpers.shown.report_lines import solved
from tests.helpers.studying import AtOnce, line


def painted(figure: Any) -> Figure:
    assert isinstance(figure, Figure)
    FigureCanvasAgg(figure).draw()
    return figure


def foots(figure: Figure) -> list[Any]:
    drawn = [*figure.texts, *(text for ax in figure.axes for text in ax.texts)]
    return [text for text in drawn if text.get_gid() == "footer"]


def assert_foot(figure: Figure, note: str) -> None:
    """Note and standing caution, whole, on the page and under the axes."""
    (text,) = foots(figure)
    said = text.get_text().replace("\n", " ")
    assert note and note in said
    assert STANDING in said
    box = text.get_window_extent()
    assert box.x1 <= figure.bbox.x1 and box.y0 >= 0
    for ax in figure.axes:
        tight = ax.get_tightbbox(for_layout_only=True)
        assert tight is None or box.y1 <= ax.xaxis.get_tightbbox().y0  # type: ignore[union-attr]


# -- tradeoff ---------------------------------------------------------------------------


def curve(*points: tuple[int, str]) -> Figure:
    """A curve of so many loads in 10,000 out of window, and these cycle times, drawn."""
    problem, result = solved("quillhaven_anodising")
    assert result.replay is not None
    figures = margin_figures(problem, result.replay)
    spots = [
        Spot(
            replace(
                figures, cycle_time=F(cycle), mean_cycle=float(F(cycle)),
                out_of_window=Share(out, 10_000, 0, 1),
            ),
            F(1, 10),
            True,
        )
        for out, cycle in points
    ]  # fmt: skip
    return painted(draw_panels(problem, spots, "each point: an invented one"))


@pytest.mark.parametrize(
    "points",
    [
        ((0, "787.2"),),
        ((9980, "787.2"), (30, "795.6"), (0, "856.1")),
        ((9990, "787.2"), (9985, "787.5"), (9980, "787.9"), (0, "856.1")),
        tuple((8000 - 700 * n, str(787 + 6 * n)) for n in range(12)),
    ],
)
def test_the_labels_of_a_tradeoff_are_in_the_axes_and_apart(points: tuple[Any, ...]) -> None:
    for ax in curve(*points).axes:
        inside = ax.get_window_extent()
        labels = [text for text in ax.texts if text.get_gid() == "point"]
        assert labels
        boxes = [label.get_window_extent() for label in labels]
        for box in boxes:
            assert inside.x0 <= box.x0 and box.x1 <= inside.x1
            assert inside.y0 <= box.y0 and box.y1 <= inside.y1
        for one, other in combinations(boxes, 2):
            assert not one.overlaps(other)
        # None across the curve either, sampled along it.
        (line,) = [part for part in ax.lines if part.get_gid() == "curve"]
        way = ax.transData.transform(list(zip(*line.get_data(), strict=True)))
        for (ax0, ay0), (ax1, ay1) in pairwise(way):
            for share in range(101):
                x, y = ax0 + (ax1 - ax0) * share / 100, ay0 + (ay1 - ay0) * share / 100
                assert not any(box.contains(x, y) for box in boxes)


def test_a_share_is_told_with_its_cycle_time_and_unit() -> None:
    left, _ = curve((333, "787.2")).axes
    assert [text.get_text() for text in left.texts if text.get_gid() == "point"] == [
        "3.33 % at 787.2 s"
    ]


# -- study ------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def equal() -> Study:
    """Carriers that make no difference: three curves on one another."""
    varied = {"hoist.lift": [6, 9], "carriers.count": [4, 5, 6]}
    return study(line(), varied, executor=AtOnce())


def middles(ax: Axes, gid: str) -> list[tuple[float, float]]:
    """Where the points of a curve are drawn, in pixels."""
    (marks,) = [part for part in ax.lines if part.get_gid() == gid]
    shown = marks.get_transform().transform(list(zip(*marks.get_data(), strict=True)))
    return [(float(x), float(y)) for x, y in shown]


def test_curves_on_one_another_can_all_be_seen(equal: Study) -> None:
    ax = draw_curves(equal)
    painted(ax.figure)
    lines = [part for part in ax.lines if (part.get_gid() or "").startswith("curve-")]
    data = [[tuple(xy) for xy in zip(*part.get_data(), strict=True)] for part in lines]
    assert len(lines) == 3 and data[0] == data[1] == data[2]
    # Later ones are drawn on earlier ones, each at least two points narrower.
    widths = [part.get_linewidth() for part in lines]
    assert all(below - above >= 2 for below, above in pairwise(widths))
    points = [middles(ax, f"proven-{number}") for number in range(3)]
    apart = 5 * figure_of(ax).dpi / 72
    for left, right in pairwise(points):
        assert all(b[0] - a[0] >= apart and a[1] == b[1] for a, b in zip(left, right, strict=True))
    legend = ax.get_legend()
    assert legend is not None and "side by side" in legend.get_title().get_text()


def test_curves_that_never_meet_stand_where_they_are(equal: Study) -> None:
    varied = {"hoist.empty.speed": [0.4, 0.8], "hoist.lift": [6, 30]}
    ax = draw_curves(study(line(), varied, executor=AtOnce()))
    painted(ax.figure)
    for part in ax.lines:
        if (part.get_gid() or "").startswith("proven-") and len(part.get_xdata()):
            shown = part.get_transform().transform(list(zip(*part.get_data(), strict=True)))
            straight = ax.transData.transform(list(zip(*part.get_data(), strict=True)))
            assert (shown == straight).all()


def test_axes_have_no_exponents_and_no_offsets() -> None:
    """Costs in the millions, and figures that differ in the last digits only."""
    ax = new_figure(6, 4).add_subplot()
    ax.plot([1_200_000, 9_800_000], [787.2000, 787.2004])
    finish_axes(ax)
    painted(ax.figure)
    labels = [*ax.get_xticklabels(), *ax.get_yticklabels()]
    shown = [label.get_text() for label in labels if label.get_text()]
    assert len(shown) > 6
    assert {float(text) for text in shown} >= {2_000_000.0, 787.2}
    assert not any("e" in text for text in shown)
    for axis in (ax.xaxis, ax.yaxis):
        assert axis.get_offset_text().get_text() == ""


def test_the_foot_of_a_study(equal: Study) -> None:
    assert_foot(painted(draw_study(equal)), equal.problem.note)


# -- jitter -----------------------------------------------------------------------------


@pytest.fixture(scope="module")
def scattered() -> Figure:
    problem, result = solved("quillhaven_anodising")
    assert result.schedule is not None
    scatter = ["move times triangular 0.97 1 1.15"]
    return painted(draw_jitter(jitter(problem, result.schedule, scatter, runs=10, cycles=10)))


def test_the_names_of_limits_stand_above_the_bars_and_under_the_title(scattered: Figure) -> None:
    seen = 0
    for ax in scattered.axes:
        names = [text for text in ax.texts if text.get_gid() == "limit-name"]
        title = ax._left_title.get_window_extent()  # type: ignore[attr-defined]
        for name in names:
            box = name.get_window_extent()
            assert box.y0 >= ax.get_window_extent().y1
            assert box.y1 <= title.y0
            seen += 1
    assert seen >= 3


def test_the_foot_of_histograms(scattered: Figure) -> None:
    problem, _ = solved("quillhaven_anodising")
    assert_foot(scattered, problem.note)


def test_the_foot_of_a_tradeoff() -> None:
    problem, _ = solved("quillhaven_anodising")
    assert_foot(curve((177, "787.2")), problem.note)


# -- why --------------------------------------------------------------------------------


def test_what_holds_the_cycle_follows_the_hoist_through_its_drip() -> None:
    """The anodising line's loads drip over their tanks: two pauses on the way."""
    problem, result = solved("quillhaven_anodising")
    assert result.schedule is not None and result.replay is not None
    found = what_holds(problem, result.schedule)
    ax = draw_holding(problem, found)
    moves = [piece for piece in found.pieces if piece.what == "loaded"]
    assert moves
    marked = [
        list(zip(*part.get_data(), strict=True)) for part in ax.lines if part.get_gid() == "holding"
    ]
    loaded = [path for path in marked if len(path) == 4]
    assert len(loaded) >= 2 * len(moves)
    for (start, rail), (leaves, still), (over, reached), (end, last) in loaded:
        # Lifting and dripping over the tank, then on the way, then lowering.
        assert rail == still != reached == last
        assert start < leaves < over < end
