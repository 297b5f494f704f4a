"""What slack costs: the curve is exact, and drawn as it is."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from hoistopt import InputError, TradeOff, load_problem, robust, solve, trade_off, verify
from hoistopt.problem import Problem
from hoistopt.show.tradeoff.figure import draw_tradeoff, save_tradeoff
from hoistopt.show.tradeoff.table import tradeoff_csv, tradeoff_data, tradeoff_summary
from tests.analysis.test_robust_aims import tiny_line
from tests.helpers.checked_line import line, stage
from tests.helpers.command import PROBLEMS
from tests.helpers.csv_files import csv_table
from tests.helpers.small_schedules import best, every_schedule


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


def test_the_curve_has_every_point_and_no_other() -> None:
    lengths = []
    for seed in range(14):
        problem, degree = tiny_line(seed)
        shortest = solve(problem, degree, workers=1).schedule
        for measure in ("slack", "float"):
            no_maximum = all(s.max is None for s in problem.recipes[0].stages)
            if shortest is None or (measure == "slack" and no_maximum):
                continue
            most = shortest.cycle * 14 // 10
            found = trade_off(problem, degree, 40, 100, measure, workers=1)  # type: ignore[arg-type]
            seen = [[int(point.margin), int(point.cycle_time)] for point in found.points]
            assert seen == pareto(problem, degree, measure, shortest.cycle, most), seed
            assert found.complete
            assert all(point.proven for point in found.points)
            lengths.append(len(seen))
    assert max(lengths) >= 3


@pytest.fixture(scope="module")
def curve() -> TradeOff:
    problem = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    return trade_off(problem, upto=15, points=5, measure="float", workers=1)


def test_points_passed_over_are_told_of(curve: TradeOff) -> None:
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


def test_the_end_of_the_curve_is_what_a_robust_schedule_has(curve: TradeOff) -> None:
    found = robust(curve.problem, within=15, aims=["float"], workers=1)
    assert [aim.value for aim in found.aims] == [
        curve.points[-1].margin,
        curve.points[-1].cycle_time,
    ]


def test_the_curve_as_data(curve: TradeOff) -> None:
    rows = csv_table(tradeoff_csv(curve))
    data = tradeoff_data(curve)
    assert len(rows) == len(data["points"]) == 5
    assert rows[0] == {
        "float_s": "0",
        "cycle_time_s": "234",
        "above_shortest": "0.000000",
        "proven": "yes",
    }
    assert data["points"][0]["cycle_time"] == 234
    assert len(data["points"][0]["moves"]) == 5
    json.dumps(data, allow_nan=False)


def test_the_curve_drawn(curve: TradeOff) -> None:
    ax = draw_tradeoff(curve)
    parts = {part.get_gid(): part for part in ax.lines}
    drawn: Any = parts["curve"]
    assert list(drawn.get_xdata()) == [0.0, *(float(point.margin) for point in curve.points)]
    assert list(drawn.get_ydata())[1:] == [float(point.cycle_time) for point in curve.points]
    assert len(parts["proven"].get_xdata()) == 5
    assert len(parts["not-proven"].get_xdata()) == 0
    assert "[s]" in ax.get_xlabel()
    assert any("at 234" in text.get_text() for text in ax.texts)
    from matplotlib.figure import Figure

    own = Figure().add_subplot()
    assert draw_tradeoff(curve, own) is own


def test_the_drawing_as_a_file(curve: TradeOff, tmp_path: Path) -> None:
    for name, begins in (("a.png", b"\x89PNG"), ("a.svg", b"<?xml"), ("a.pdf", b"%PDF-")):
        save_tradeoff(curve, tmp_path / name)
        content = (tmp_path / name).read_bytes()
        assert content.startswith(begins)
        save_tradeoff(curve, tmp_path / name)
        assert (tmp_path / name).read_bytes() == content
    with pytest.raises(InputError, match="png"):
        save_tradeoff(curve, tmp_path / "a.txt")


def test_no_schedule_no_curve() -> None:
    data = load_problem(PROBLEMS / "three_tanks_dryer.toml").to_data()
    data["cycle"] = {"max": 100}
    found = trade_off(Problem.from_data(data), workers=1)
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
        trade_off(load_problem(PROBLEMS / "three_tanks_dryer.toml"), **wrong)
    assert named in str(told.value)


def test_slack_needs_a_maximum() -> None:
    stations = [{"name": "In", "kind": "load"}, {"name": "A"}, {"name": "Out", "kind": "unload"}]
    problem = line(stations, {"name": "R", "stage": [stage("A", 30)]})
    with pytest.raises(InputError, match="a stage with a maximum"):
        trade_off(problem)
    assert trade_off(problem, measure="float", workers=1).points
