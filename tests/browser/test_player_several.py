"""Two hoists in the player: each is where the checker's own physics has it."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from math import floor
from pathlib import Path
from typing import Any

import pytest

import hoistopt
from hoistopt import Order, Replay, Travel
from hoistopt.checker.hoists.ways import Doing, all_doings
from hoistopt.checker.programme.ways_once import ways_of
from hoistopt.show.report import report_html
from tests.helpers.command import PROBLEMS
from tests.helpers.hoists.hand_over import handed_over, line
from tests.helpers.shown.report_window import Window

BOTH = """
return ['hoist', 'hoist-2'].map(
  (id) => document.getElementById(id).transform.baseVal[0].matrix.e);
"""


def seen_on(acceleration: float | None) -> Replay:
    """A and B hand over; B runs out beyond the last station and comes back."""
    aside = Travel(Fraction(10), "B", Fraction(10)), Travel(Fraction(20), "B", Fraction(4))
    return hoistopt.replay(line(acceleration), handed_over(30, *aside))


def where(does: list[Doing], cycle: int, time: float) -> float:
    """The place of a hoist at a time in grid steps, from what it does in a cycle."""
    done = [(doing, shift) for doing in does for shift in (-2 * cycle, -cycle, 0, cycle)]
    doing, shift = max(
        ((doing, shift) for doing, shift in done if doing.since + shift <= time),
        key=lambda pair: pair[0].since + pair[1],
    )
    for piece in doing.pieces:
        if piece.since + shift <= time <= piece.until + shift:
            return float(piece.at(Fraction(time) - shift))
    return float(doing.there)


@pytest.mark.parametrize("acceleration", [None, 1.0])
def test_each_hoist_is_where_the_checker_has_it(
    acceleration: float | None, driver: Any, tmp_path: Path
) -> None:
    seen = seen_on(acceleration)
    assert seen.clean
    path = tmp_path / "two.html"
    path.write_text(report_html(seen.problem, seen.schedule, seen), encoding="utf-8")
    window = Window(driver, path)
    window.resize(1280, 900)
    window.media()
    window.open()
    plan = seen.plan
    does = all_doings(plan.table, plan.parts)
    stations = window.seen()["stations"]
    scale = (stations[-1] - stations[0]) / 8
    moved: list[set[int]] = [set(), set()]
    times = [120 + tenth / 10 for tenth in range(0, 600, 13)]
    for time, pixels in zip(times, window.run_at(times, BOTH), strict=True):
        for hoist, pixel in enumerate(pixels):
            in_cycle = time % 60 * plan.table.clock.per_unit
            true = where(does[hoist], plan.table.cycle, in_cycle)
            # A curved stretch is drawn in four straight parts.
            assert (pixel - stations[0]) / scale == pytest.approx(true, abs=0.12), (time, hoist)
            moved[hoist].add(floor(true))
    assert len(moved[0]) >= 4 and max(moved[1]) >= 9  # beyond the last station, at 8
    words = window.seen()["words"]
    assert "1 A" in words and "2 B" in words
    window.assert_quiet()


def test_both_steps_that_are_on_are_marked(driver: Any, tmp_path: Path) -> None:
    seen = seen_on(None)
    path = tmp_path / "two.html"
    path.write_text(report_html(seen.problem, seen.schedule, seen), encoding="utf-8")
    window = Window(driver, path)
    window.open()
    window.scrub(121)
    marked: Callable[[str], list[str]] = lambda kind: window.run(  # noqa: E731
        f"return [...document.querySelectorAll('tr.{kind}')].map((row) => row.id)"
    )
    assert (marked("current"), marked("coming")) == (["step-1"], ["step-2"])
    window.scrub(151)
    assert (marked("current"), marked("coming")) == (["step-2"], ["step-1"])


def test_in_a_programme_too_each_is_where_the_checker_has_it(driver: Any, tmp_path: Path) -> None:
    problem = hoistopt.load_problem(PROBLEMS / "several/two_hoists.toml")
    plan = hoistopt.plan(problem, [Order("Brackets", 1)], workers=1, time_limit=5)
    assert plan.replay is not None
    path = tmp_path / "once.html"
    path.write_text(hoistopt.programme_html(plan.replay, plan), encoding="utf-8")
    window = Window(driver, path)
    window.resize(1280, 900)
    window.media()
    window.open()
    course = plan.replay.course
    clock, ways = course.table.clock, ways_of(course)
    stations = window.seen()["stations"]
    scale = (stations[-1] - stations[0]) / 13.5
    moved = 0
    times = range(0, int(plan.replay.finish), 17)
    for time, pixels in zip(times, window.run_at(times, BOTH), strict=True):
        for pixel, way in zip(pixels, ways, strict=True):
            assert way is not None
            at = clock.exact(time)
            piece = next(p for p in way.pieces(at) if p.since <= at <= p.until)
            true = float(piece.at(at))
            assert (pixel - stations[0]) / scale == pytest.approx(true, abs=0.12), time
            moved += bool(piece.speed or piece.bend)
    assert moved > 2
    words = window.seen()["words"]
    assert "1 Upstream" in words and "2 Downstream" in words
    window.assert_quiet()
