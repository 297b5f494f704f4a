"""The player of a programme against the checker's record: absolute time, loads by number."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import hoistopt
from hoistopt.checker import ProgrammeReplay
from tests.helpers.command import PROBLEMS
from tests.helpers.shown.report_truth import rounded_down
from tests.helpers.shown.report_window import Window


@pytest.fixture(scope="module")
def rest() -> ProgrammeReplay:
    """Two cases, one of them in doubt, run out of the line after a stop."""
    problem = hoistopt.load_problem(PROBLEMS / "three_tanks_dryer.toml")
    state = hoistopt.read_state(PROBLEMS / "days/stopped.toml", problem)
    seen = hoistopt.plan(problem, (), state, workers=1, time_limit=20).replay
    assert seen is not None
    return seen


@pytest.fixture
def opened(driver: Any, rest: ProgrammeReplay, tmp_path: Path) -> Callable[[int], Window]:
    path = tmp_path / "rest.html"
    path.write_text(hoistopt.programme_html(rest), encoding="utf-8")

    def show(width: int) -> Window:
        window = Window(driver, path)
        window.resize(width, 900)
        window.media()
        window.open()
        return window

    return show


def test_shows_where_every_load_stands_and_for_how_long(
    opened: Callable[[int], Window], rest: ProgrammeReplay
) -> None:
    window = opened(1280)
    assert window.part() == (0, float(rest.finish))
    names = [station.name for station in rest.problem.stations]
    times = {0.0, *(float(run.start) + more for run in rest.runs for more in (-0.2, 3.1, 40.3))}
    checked = 0
    for time in sorted(t for t in times if 0 <= t < float(rest.finish)):
        window.scrub(time)
        seen = window.seen()
        assert seen["words"].startswith(f"{rounded_down(time, 1)} s.")
        expected = {}
        for stay in rest.stays:
            low, high = time - float(stay.since.most), time - float(stay.since.least)
            if low >= 0 and (stay.until is None or time < float(stay.until)):
                told = rounded_down(low, 1)
                told += f" to {rounded_down(high, 1)}" if high > low else ""
                expected[stay.station, f"L{stay.load}"] = told
        shown = {
            (names[int(place.split("-")[0])], row["carrier"]): row["reading"]
            for place, row in seen["board"].items()
            if row["carrier"]
        }
        assert shown == expected, time
        checked += len(expected)
        on = [run for run in rest.runs if float(run.start) <= time < float(run.end)]
        assert seen["current"] == (f"step-{on[0].step}" if on else None)
        assert seen["hung"] == bool(on)
    assert checked > 15
    window.assert_quiet()


@pytest.mark.parametrize("width", [1280, 420])
def test_nothing_is_wider_than_the_page(opened: Callable[[int], Window], width: int) -> None:
    window = opened(width)
    assert window.run("return document.documentElement.scrollWidth") <= width
    # Of a range in doubt no figure runs into the name beside it.
    boxes = window.run(
        "return [...document.querySelectorAll('.board tbody tr:not(.free)')].map((row) => ["
        "  ...['carrier', 'reading'].map((name) => {"
        "    const range = document.createRange();"
        "    range.selectNodeContents(row.querySelector('.' + name));"
        "    const box = range.getBoundingClientRect(); return [box.left, box.right];"
        "  })])"
    )
    read = [pair for pair in boxes if pair[0][1] > pair[0][0] and pair[1][1] > pair[1][0]]
    assert len(read) == 2 and all(carrier[1] <= reading[0] for carrier, reading in read)
    window.picture(f"programme-{width}")
    window.assert_quiet()
