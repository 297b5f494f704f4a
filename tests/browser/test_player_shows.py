"""What the player shows is the schedule: hoist, dwell and steps at sampled times."""

from __future__ import annotations

import time
from collections.abc import Callable
from random import Random
from typing import Any

import pytest

from tests.helpers.shown.report_lines import solved
from tests.helpers.shown.report_pages import record_of
from tests.helpers.shown.report_truth import Truth, rounded_down
from tests.helpers.shown.report_window import Window

LINES = ("three_tanks_dryer", "quillhaven_anodising", "phillips_unger_1976", "mixed")
PARTS = ("all", "fill", "steady", "run-out")
Show = Callable[..., Window]


def truth_of(name: str) -> Truth:
    problem, result = solved(name)
    assert result.replay is not None
    return Truth(problem, result.replay)


def samples(truth: Truth, since: float, until: float, count: int) -> list[float]:
    """Times at random, and just before and after moments at which something begins."""
    rng = Random(f"{since} {until}")
    found = [rng.uniform(since, until) for _ in range(count)]
    runs = [run for run in truth.runs if since <= run.start < until]
    for run in rng.sample(runs, min(len(runs), count // 4)):
        found += [float(run.start) + 0.01, float(run.end) - 0.01, float(run.end) + 0.01]
    return [at for at in found if since < at < until]


def assert_shown(seen: dict[str, Any], name: str, truth: Truth) -> None:
    """Everything on the screen against the schedule at the time the slider shows."""
    data = record_of(name)
    now, decimals = seen["time"], data["decimals"]
    _assert_to_scale(seen, truth, data)
    expected = {}
    for (station, carrier), stay in truth.standing(now).items():
        dwell = now - float(stay.since)
        expected[station, carrier] = (rounded_down(dwell, decimals), _kind(dwell, stay))
    shown = {}
    for place, row in seen["board"].items():
        station = data["stations"][int(place.split("-")[0])]["name"]
        if row["kind"] == "free" or not row["carrier"]:
            assert row["reading"] == "" and row["state"] == "empty"
            continue
        carrier = int(row["carrier"].split()[0].removeprefix("C"))
        assert (station, carrier) not in shown
        shown[station, carrier] = (row["reading"], row["kind"])
    assert shown == expected, now
    on, coming = truth.step(now)
    assert seen["current"] == (None if on is None else f"step-{on}")
    assert seen["coming"] == (None if coming is None else f"step-{coming}")
    assert seen["hung"] == (on is not None)


def _assert_to_scale(seen: dict[str, Any], truth: Truth, data: dict[str, Any]) -> None:
    """Stations and hoist stand at their places along the track, on one and the same scale."""
    places = [truth.at[station["name"]] for station in data["stations"]]
    first, last = seen["stations"][0], seen["stations"][-1]
    scale = (last - first) / (places[-1] - places[0])
    for middle, place in zip(seen["stations"], places, strict=True):
        assert middle == pytest.approx(first + (place - places[0]) * scale, abs=0.05)
    hoist = places[0] + (seen["hoist"] - first) / scale
    assert hoist == pytest.approx(truth.hoist(seen["time"]), abs=0.05 / scale + 1e-4)


def _kind(dwell: float, stay: Any) -> str:
    if dwell < float(stay.least) - 1e-6:
        return "early"
    return "over" if stay.most is not None and dwell > float(stay.most) + 1e-6 else "ready"


@pytest.mark.parametrize("name", LINES)
def test_scrubbing_shows_the_schedule(name: str, show: Show) -> None:
    window, truth = show(name), truth_of(name)
    for part in PARTS:
        window.choose(part)
        times = samples(truth, *window.part(), count=8)
        for at, seen in zip(times, window.seen_at(times), strict=True):
            assert seen["time"] == pytest.approx(at, abs=1e-6)
            assert_shown(seen, name, truth)


@pytest.mark.parametrize(
    "name", [pytest.param("quillhaven_anodising", marks=pytest.mark.long), "mixed"]
)
def test_playing_shows_the_schedule(name: str, show: Show) -> None:
    window, truth = show(name), truth_of(name)
    window.choose("all")
    window.run("document.getElementById('speed').value = '60'")
    window.click("#go-play")
    times = []
    for _ in range(25):
        seen = window.seen()
        assert_shown(seen, name, truth)
        times.append(seen["time"])
        time.sleep(0.03)
    window.click("#go-play")
    assert times == sorted(times)
    assert len(set(times)) > 15


def test_time_runs_at_the_speed_chosen_and_stands_still_when_paused(show: Show) -> None:
    window = show("quillhaven_anodising")
    # When a frame was drawn, by the page's clock, and the time shown in it.
    frame = "return [player.last / 1000, Number(document.getElementById('time').value)]"
    for speed in (10, 120):
        window.choose("all")
        window.run("document.getElementById('speed').value = arguments[0]", str(speed))
        window.click("#go-play")
        time.sleep(0.1)
        began, since = window.run(frame)
        time.sleep(0.4)
        ended, until = window.run(frame)
        window.click("#go-play")
        assert 0.3 < ended - began < 5
        assert until - since == pytest.approx(speed * (ended - began), abs=1e-4 * speed)
        stopped = window.time()
        time.sleep(0.1)
        assert window.time() == stopped


def test_the_end_starts_again_or_stops(show: Show) -> None:
    window, truth = show("three_tanks_dryer"), truth_of("three_tanks_dryer")
    window.run("document.getElementById('speed').value = '300'")
    since, until = window.part()
    window.scrub(until - 20)
    window.click("#go-play")
    time.sleep(0.2)
    seen = window.seen()
    assert since <= seen["time"] < until - 20
    assert_shown(seen, "three_tanks_dryer", truth)
    window.click("#go-play")
    window.click("#again")
    window.scrub(until - 20)
    window.click("#go-play")
    time.sleep(0.2)
    assert window.time() == pytest.approx(until)
    assert window.run("return document.querySelector('#go-play .words').textContent") == "Play"
    window.click("#go-play")
    time.sleep(0.1)
    assert window.time() < until


def clicked(window: Window, button: str, count: int) -> list[float]:
    """The time shown after each click on a button: three with the mouse, the rest by script."""
    times = []
    for _ in range(3):
        window.click(button)
        times.append(window.time())
    code = """
        const button = document.querySelector(arguments[0]), time = document.getElementById('time');
        return Array.from({length: arguments[1]}, () => { button.click(); return Number(time.value); });
    """  # noqa: E501
    return times + [float(at) for at in window.run(code, button, count - 3)]


@pytest.mark.parametrize(("name", "part"), [("three_tanks_dryer", "all"), ("mixed", "fill")])
def test_stepping_goes_from_move_to_move(name: str, part: str, show: Show) -> None:
    window, truth = show(name), truth_of(name)
    window.choose(part)
    since, until = window.part()
    starts = [float(run.start) for run in truth.runs if since <= run.start < until]
    forward = clicked(window, "#go-on", len(starts) + 3)
    expected = [at for at in starts if at > since]
    assert forward[: len(expected)] == pytest.approx(expected, abs=1e-5)
    assert forward[len(expected) :] == pytest.approx([until] * (len(forward) - len(expected)))
    back = clicked(window, "#go-back", len(starts) + 2)
    assert back[: len(starts)] == pytest.approx(starts[::-1], abs=1e-5)
    assert back[len(starts) :] == [since] * 2


def test_each_part_is_what_its_name_says(show: Show) -> None:
    name = "quillhaven_anodising"
    window, truth = show(name), truth_of(name)
    window.choose("fill")
    seen = window.seen()
    assert seen["time"] == 0
    standing = [row for row in seen["board"].values() if row["carrier"]]
    assert len(standing) == len(truth.standing(0.0)) <= 1  # at most one waits to be lifted
    window.choose("steady")
    cycle = float(truth.replay.cycle_time)
    since, until = window.part()
    assert since == pytest.approx(truth.replay.steady_from * cycle)
    assert until == pytest.approx(since + truth.replay.steady_cycles * cycle)
    window.scrub(since + 100)
    first = window.seen()
    window.scrub(since + 100 + cycle)
    then = window.seen()
    assert first["hoist"] == pytest.approx(then["hoist"], abs=0.01)
    readings = [
        {place: row["reading"] for place, row in seen["board"].items()} for seen in (first, then)
    ]
    assert readings[0] == readings[1]
    window.choose("run-out")
    window.click("#go-last")
    assert all(not row["carrier"] for row in window.seen()["board"].values())


def test_the_same_time_is_the_same_state_however_it_is_reached(show: Show) -> None:
    """State is a function of time alone: no run through the record leaves a trace."""
    window = show("mixed")
    code = "return JSON.stringify(arguments[0].map((t) => stateAt(player.data, t)))"
    rng = Random(4)
    times = [rng.uniform(0, 1500) for _ in range(40)]
    one = window.run(code, times)
    assert one == window.run(code, times)
    back = window.run(code, times[::-1])
    assert sorted(one) == sorted(back)


def test_the_line_in_the_diagram_follows(show: Show) -> None:
    name = "three_tanks_dryer"
    window, truth = show(name), truth_of(name)
    since, until = window.part()
    code = """
        const svg = document.querySelector('svg.timeway'), now = document.getElementById('timeway-now');
        return [now.getAttribute('x1'), svg.dataset.left, svg.dataset.right, getComputedStyle(now).display];
    """  # noqa: E501
    cycle = float(truth.replay.cycle_time)
    for at in (0.1, 0.9, 1.5, 2.5):
        window.scrub(since + at * cycle)
        x, left, right, display = window.run(code)
        share = (float(x) - float(left)) / (float(right) - float(left))
        assert display != "none"
        # The diagram shows two cycles; the third looks like the second.
        assert share == pytest.approx((at if at < 2 else at - 1) / 2, abs=1e-3)
    window.choose("fill")
    assert window.run(code)[3] == "none"
    assert until > since
