"""What slack costs: the curve is exact, and drawn as it is."""

from __future__ import annotations

import json
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from matplotlib.figure import Figure

from hoistopt import (
    InputError,
    Tradeoff,
    jitter,
    load_problem,
    robust,
    slack_limits,
    solve,
    tradeoff,
    verify,
)
from hoistopt.base.text import STANDING
from hoistopt.problem import Problem
from hoistopt.show.drawing.saving import save_figure
from hoistopt.show.schedule.runnable import good_loads_an_hour
from hoistopt.show.tradeoff.answer import TradeoffAnswer
from hoistopt.show.tradeoff.table import tradeoff_data, tradeoff_rows, tradeoff_summary
from tests.helpers.command import PROBLEMS
from tests.helpers.lines.checked_line import line, stage
from tests.helpers.lines.small_schedules import best, every_schedule, tiny_line
from tests.helpers.shown.csv_files import csv_table


def pareto(problem: Problem, degree: int, measure: str, least: int, most: int) -> list[list[int]]:
    """Every margin that no shorter cycle offers, from trying all schedules."""
    found: list[list[int]] = []
    for cycle in range(least, most + 1):
        tried = [*every_schedule(problem, degree, cycle, cycle)]
        if not tried:
            continue
        margin = best(tried, [measure], [])[0]
        if not found or margin > found[-1][0]:
            found.append([margin, cycle])
    return found


@pytest.mark.parametrize("seeds", [range(7), pytest.param(range(7, 14), marks=pytest.mark.long)])
def test_the_curve_has_every_point_and_no_other(seeds: range) -> None:
    lengths = []
    for seed in seeds:
        problem, degree = tiny_line(seed)
        shortest = solve(problem, degree, workers=1).schedule
        for measure in ("slack", "float"):
            no_maximum = all(s.max is None for s in problem.recipes[0].stages)
            if shortest is None or (measure == "slack" and no_maximum):
                continue
            most = shortest.cycle * 14 // 10
            found = tradeoff(problem, degree, 40, 100, measure, workers=1)  # type: ignore[arg-type]
            seen = [[int(point.margin), int(point.cycle_time)] for point in found.points]
            assert seen == pareto(problem, degree, measure, shortest.cycle, most), seed
            assert found.complete
            assert all(point.proven for point in found.points)
            lengths.append(len(seen))
    assert max(lengths) >= (3 if seeds.start == 0 else 2)


@pytest.fixture(scope="module")
def curve() -> Tradeoff:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    return tradeoff(problem, upto=15, points=5, measure="float", workers=1)


def test_points_passed_over_are_told_of(curve: Tradeoff) -> None:
    assert len(curve.points) == 5
    assert not curve.complete
    assert "There may be more points" in tradeoff_summary(curve)
    margins = [point.margin for point in curve.points]
    cycles = [point.cycle_time for point in curve.points]
    assert margins == sorted(set(margins))
    assert cycles == sorted(set(cycles))
    assert (margins[0], cycles[0]) == (0, 234)
    for point in curve.points:
        assert verify(curve.problem, point.schedule) == ()


def test_the_end_of_the_curve_is_what_a_robust_schedule_has(curve: Tradeoff) -> None:
    found = robust(curve.problem, within=15, aims=["float"], workers=1)
    assert [aim.value for aim in found.aims] == [
        curve.points[-1].margin,
        curve.points[-1].cycle_time,
    ]


def test_the_curve_as_data(curve: Tradeoff) -> None:
    rows = csv_table(tradeoff_rows(curve).csv([STANDING]))
    data = tradeoff_data(curve)
    assert len(rows) == len(data["points"]) == 5
    forgives = curve.points[0].forgives
    assert rows[0] == {
        "margin_s": "0",
        "cycle_time_s": "234",
        "above_shortest": "0.000000",
        "tightest_start_s": "0",
        "proven": "yes",
        "out_of_window": f"{forgives.out_of_window.share:.6f}",
        "good_loads_per_hour": f"{good_loads_an_hour(curve.problem, forgives):.4f}",
    }
    assert data["points"][0]["cycle_time"] == 234
    assert len(data["points"][0]["moves"]) == 5
    json.dumps(data, allow_nan=False)


def test_the_curve_drawn(curve: Tradeoff) -> None:
    left, right = drawn_panels(curve).axes
    for ax in (left, right):
        parts = {part.get_gid(): part for part in ax.lines}
        drawn: Any = parts["curve"]
        assert list(drawn.get_ydata()) == [float(point.cycle_time) for point in curve.points]
        assert len(parts["proven"].get_xdata()) == 5  # type: ignore[arg-type]
        assert len(parts["not-proven"].get_xdata()) == 0  # type: ignore[arg-type]
    assert "[s]" in left.get_ylabel() and "[%]" in left.get_xlabel()
    assert any("at 234" in text.get_text() for text in left.texts)


@pytest.mark.usefixtures("lean_fonts")
def test_the_drawing_as_a_file(curve: Tradeoff, tmp_path: Path) -> None:
    def save(name: str) -> None:
        save_figure(drawn_panels(curve), curve.problem, tmp_path / name)

    for name, begins in (("a.png", b"\x89PNG"), ("a.svg", b"<?xml"), ("a.pdf", b"%PDF-")):
        save(name)
        content = (tmp_path / name).read_bytes()
        assert content.startswith(begins)
        save(name)
        assert (tmp_path / name).read_bytes() == content
    with pytest.raises(InputError, match="png"):
        save("a.txt")


@pytest.fixture(scope="module")
def narrow() -> Tradeoff:
    """The invented anodising line: the etch has a window of 20 s, 19.9 s in whole ticks."""
    problem = load_problem(PROBLEMS / "quillhaven_anodising.toml")
    return tradeoff(problem, upto=10, points=2, measure="slack", workers=1)


def test_the_tightest_start_is_told_where_a_window_is_narrower_than_the_margin(
    narrow: Tradeoff,
) -> None:
    last = narrow.points[-1]
    assert last.margin > 20
    # The alarm limits of that schedule say what its starts may be late.
    limits = slack_limits(narrow.problem, last.schedule)
    assert limits.least_alone is not None
    late = limits.time(limits.least_alone)
    assert last.tightest == late < 20
    text = tradeoff_summary(narrow)
    assert f"any start may be {float(late):g} s late once" in text
    assert f"a margin of {float(last.margin):g} s where windows are wide enough" in text
    data = tradeoff_data(narrow)["points"][-1]
    assert (data["margin"], data["tightest_start"]) == (float(last.margin), float(late))
    row = csv_table(tradeoff_rows(narrow).csv([STANDING]))[-1]
    assert row["tightest_start_s"] == f"{float(late):g}"


def test_no_share_is_read_off_below_none(narrow: Tradeoff) -> None:
    figure = drawn_panels(narrow)
    figure.canvas.draw()
    left, _ = figure.axes
    shown = [label.get_text() for label in left.get_xticklabels()]
    assert "0" in shown
    assert not any(text.startswith(("-", "\N{MINUS SIGN}")) for text in shown)
    assert left.get_xlim()[0] < 0
    assert left.get_ylim()[0] < float(narrow.least_cycle)


def test_no_schedule_no_curve() -> None:
    data = load_problem(PROBLEMS / "three_tanks_dryer.toml").to_data()
    data["cycle"] = {"max": 100}
    found = tradeoff(Problem.from_data(data), measure="slack", workers=1)
    assert found.points == ()
    assert found.shortest.status == "infeasible"


@pytest.mark.parametrize(
    ("wrong", "named"),
    [
        ({"upto": -1}, "upto = -1"),
        ({"points": 1}, "points = 1"),
        ({"points": True}, "points"),
        ({"measure": "room"}, "measure = room"),
    ],
)
def test_bad_input_is_refused(wrong: dict[str, Any], named: str) -> None:
    with pytest.raises(InputError) as told:
        tradeoff(load_problem(PROBLEMS / "three_tanks_dryer.toml"), **wrong)
    assert named in str(told.value)


def test_slack_needs_a_maximum() -> None:
    stations = [{"name": "In", "kind": "load"}, {"name": "A"}, {"name": "Out", "kind": "unload"}]
    problem = line(stations, {"name": "R", "stage": [stage("A", 30)]})
    with pytest.raises(InputError, match="a stage with a maximum"):
        tradeoff(problem, measure="slack")
    assert tradeoff(problem, measure="float", workers=1).points


def drawn_panels(curve: Tradeoff) -> Figure:
    """What `hoistopt tradeoff --diagram` draws."""
    figure = TradeoffAnswer(curve).figure()
    assert figure is not None
    return figure


def test_with_more_float_fewer_loads_are_out_of_window_and_the_panels_say_so(
    curve: Tradeoff,
) -> None:
    shares = []
    for point in curve.points:
        forgives = point.forgives
        # The same share, counted by the simulation that `hoistopt jitter` runs.
        ran = jitter(curve.problem, point.schedule, forgives.scatter.scatters, seed=3)
        assert forgives.out_of_window.share == pytest.approx(ran.any_stage.share, abs=0.03)
        shares.append(100 * forgives.out_of_window.share)
    assert shares[0] > 50
    assert shares[-1] == 0
    left, right = drawn_panels(curve).axes
    cycles = [float(point.cycle_time) for point in curve.points]
    (line,) = [drawn for drawn in left.lines if drawn.get_gid() == "curve"]
    assert [*map(float, line.get_xdata())] == pytest.approx(shares)  # type: ignore[arg-type]
    assert [*map(float, line.get_ydata())] == pytest.approx(cycles)  # type: ignore[arg-type]
    (line,) = [drawn for drawn in right.lines if drawn.get_gid() == "curve"]
    hour = [
        float(3600 / point.forgives.mean_cycle * (1 - share / 100))
        for point, share in zip(curve.points, shares, strict=True)
    ]
    assert [*map(float, line.get_xdata())] == pytest.approx(hour)  # type: ignore[arg-type]


def test_labels_of_the_panels_stand_inside_and_clear(curve: Tradeoff) -> None:
    figure = drawn_panels(curve)
    for ax in figure.axes:
        labels = [text for text in ax.texts if text.get_gid() == "point"]
        assert labels
        boxes = [text.get_window_extent() for text in labels]
        inside = ax.get_window_extent()
        for box in boxes:
            assert inside.x0 <= box.x0 and box.x1 <= inside.x1
            assert inside.y0 <= box.y0 and box.y1 <= inside.y1
        for one, other in combinations(boxes, 2):
            assert not one.overlaps(other)
