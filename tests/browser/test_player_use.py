"""Using the player: keys, focus, what is spoken, less motion, names of the controls."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import pytest

from tests.helpers.shown.report_lines import solved
from tests.helpers.shown.report_window import Window

Show = Callable[..., Window]
STAGE, SLIDER = "#stage", "#time"


@pytest.fixture
def window(show: Show) -> Window:
    return show("three_tanks_dryer")


@pytest.mark.parametrize("place", [STAGE, SLIDER])
def test_arrows_scrub(window: Window, place: str) -> None:
    """The line's cycle of 234 s gives steps of 1 s: a round number near a 400th."""
    since, until = window.part()
    window.press(place, "ARROW_RIGHT", "ARROW_UP", "ARROW_RIGHT")
    assert window.time() == pytest.approx(since + 3)
    window.press(place, "ARROW_LEFT", "ARROW_DOWN")
    assert window.time() == pytest.approx(since + 1)
    window.press(place, "END")
    assert window.time() == pytest.approx(until)
    window.press(place, "ARROW_RIGHT")
    assert window.time() == pytest.approx(until)
    window.press(place, "HOME")
    assert window.time() == pytest.approx(since)


@pytest.mark.parametrize("place", [STAGE, SLIDER])
def test_page_keys_go_move_by_move(window: Window, place: str) -> None:
    _, result = solved("three_tanks_dryer")
    assert result.replay is not None
    since, _ = window.part()
    starts = [float(run.start) for run in result.replay.runs if run.start > since]
    window.press(place, "PAGE_DOWN", "PAGE_DOWN", "PAGE_DOWN")
    assert window.time() == pytest.approx(starts[2], abs=1e-5)
    window.press(place, "PAGE_UP")
    assert window.time() == pytest.approx(starts[1], abs=1e-5)


@pytest.mark.parametrize("place", [STAGE, SLIDER, "#go-play"])
def test_space_plays_and_pauses(window: Window, place: str) -> None:
    began = window.time()
    window.press(place, "SPACE")
    time.sleep(0.15)
    window.press(place, "SPACE")
    stopped = window.time()
    assert stopped > began
    time.sleep(0.1)
    assert window.time() == stopped


def test_keys_with_a_modifier_stay_the_browsers(window: Window) -> None:
    began = window.time()
    window.press(STAGE, "CONTROL+END")
    assert window.time() == began


def test_keys_do_nothing_elsewhere_on_the_page(window: Window) -> None:
    began = window.time()
    window.press("#steps-box", "ARROW_RIGHT", "END")
    assert window.time() == began


def test_dragging_the_slider_scrubs(window: Window) -> None:
    """A real press of the mouse three quarters along the slider."""
    since, until = window.part()
    box = window.run(
        "const s = document.getElementById('time'); s.scrollIntoView({block: 'center'});"
        "const r = s.getBoundingClientRect(); return [r.left, r.top, r.width, r.height]"
    )
    at = {"x": box[0] + 0.75 * box[2], "y": box[1] + box[3] / 2, "button": "left", "clickCount": 1}
    for kind in ("mousePressed", "mouseReleased"):
        window.driver.execute_cdp_cmd("Input.dispatchMouseEvent", {"type": kind, **at})
    share = (window.time() - since) / (until - since)
    assert share == pytest.approx(0.75, abs=0.02)


def test_every_stop_of_the_tab_key_shows_its_focus(window: Window) -> None:
    stops = []
    window.run("document.body.tabIndex = -1; document.body.focus()")
    for _ in range(40):
        window.type("TAB")
        found = window.run(
            """
            const e = document.activeElement;
            if (e === document.body) return null;
            const shown = e.type === 'radio' ? e.nextElementSibling : e;
            const style = getComputedStyle(shown);
            return [e.id || e.name || e.className || e.tagName, style.outlineStyle,
                    parseFloat(style.outlineWidth)];
            """
        )
        if found is None:
            break
        stops.append(found)
    names = [name for name, *_ in stops]
    for wanted in ("skip", "appearance", "stage", "part", "time", "go-play", "speed", "again"):
        assert wanted in names
    assert len(stops) >= 14
    for name, kind, width in stops:
        assert kind == "solid" and width >= 2, name


def test_every_control_has_a_name_of_its_own(window: Window) -> None:
    """As assistive technology is told, by the browser's accessibility tree."""
    nodes = window.driver.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    roles = ("button", "slider", "checkbox", "radio", "combobox", "region", "table", "group")
    named: dict[str, list[str]] = {role: [] for role in roles}
    for node in nodes:
        role = node.get("role", {}).get("value")
        if role in named and not node.get("ignored"):
            named[role].append(node.get("name", {}).get("value", ""))
    assert sorted(named["button"]) == [
        "Next move", "Play", "Previous move", "To the end", "To the start",
    ]  # fmt: skip
    assert named["slider"] == ["Time"]
    assert named["checkbox"] == ["Start again at the end"]
    assert [name.strip() for name in named["combobox"]] == ["Speed"]
    for role, names in named.items():
        assert names and all(names), role
        assert len(set(names)) == len(names), role


def test_the_slider_says_where_it_is_in_words(window: Window) -> None:
    _, result = solved("three_tanks_dryer")
    assert result.replay is not None
    run = next(run for run in result.replay.runs if run.phase == "steady" and run.drip)
    window.scrub(float(run.start) + 1)
    text = window.run("return document.getElementById('time').getAttribute('aria-valuetext')")
    in_cycle = float(run.start) + 1 - (run.cycle - 1) * float(result.replay.cycle_time)
    assert text == (
        f"Cycle {run.cycle} of {result.replay.cycles}, {in_cycle:.1f} s. "
        f"Step {run.step}: Lifting C{run.carrier} from {run.source}"
    )
    window.scrub(float(run.start) + float(run.lift or 0) + 1)
    assert f"Letting C{run.carrier} drip over {run.source}" in window.seen()["words"]


def test_what_is_spoken_is_polite_and_seldom(window: Window) -> None:
    window.run(
        """
        const place = document.getElementById('spoken');
        window.told = [];
        new MutationObserver(() => told.push(place.textContent)).observe(place, {childList: true});
        """
    )
    place = "const p = document.getElementById('spoken'); return [p.role, p.ariaLive]"
    assert window.run(place) == ["status", "polite"]
    window.run("document.getElementById('speed').value = '60'")
    window.click("#go-play")
    time.sleep(2.6)
    assert len(window.run("return told")) == 1
    # A run of quick steps says only where it ended.
    window.run(
        "document.getElementById('go-play').click();"
        "for (let n = 0; n < 5; n += 1) document.getElementById('go-on').click()"
    )
    window.wait(0.6)
    told = window.run("return told")
    assert len(told) == 2
    assert told[-1].split(". ")[0] in window.seen()["words"]


def test_less_motion_goes_by_leaps(show: Show) -> None:
    """With reduced motion wanted, only the moments at which something begins are shown."""
    _, result = solved("three_tanks_dryer")
    assert result.replay is not None
    window = show("three_tanks_dryer", prefers_reduced_motion="reduce")
    window.run("document.getElementById('speed').value = '60'")
    since, until = window.part()
    window.click("#go-play")
    times = set()
    ended = time.monotonic() + 1
    while time.monotonic() < ended:
        times.add(window.time())
    window.click("#go-play")
    moments = {since, until}
    for run in result.replay.runs:
        arrival = run.start - run.waited
        lift, drip, travel = (run.lift or 0), run.drip, (run.travel or 0)
        up = run.start + lift
        moments |= {float(arrival - run.empty), float(arrival), float(run.start), float(up)}
        moments |= {float(up + drip), float(up + drip + travel), float(run.end)}
    assert 4 <= len(times) <= 40
    for at in times:
        assert min(abs(at - moment) for moment in moments) < 1e-5
    sheet = window.run("return document.querySelector('style').textContent")
    assert "transition" not in sheet and "animation" not in sheet


def test_signs_and_words_tell_early_from_ready_without_colour(window: Window) -> None:
    _, result = solved("three_tanks_dryer")
    assert result.replay is not None
    # The washing bath, 90 s to 150 s, is left some seconds after its least dwell.
    stay = next(s for s in result.replay.stays if s.phase == "steady" and s.station == "Wash")
    assert stay.dwell is not None and 91 < stay.dwell < 149
    rows: dict[str, dict[str, Any]] = {}
    for kind, dwell in (("early", 85), ("ready", 91)):
        window.scrub(float(stay.since) + dwell)
        (rows[kind],) = [r for r in window.seen()["board"].values() if "90 to 150" in r["window"]]
        assert rows[kind]["kind"] == kind
    assert rows["early"]["state"] == "Not yet, 5.0 s to go"
    assert rows["ready"]["state"] == "Yes, within 59.0 s"
    assert rows["early"]["sign"] != rows["ready"]["sign"]


def test_a_dwell_beyond_its_maximum_would_be_shown_as_such(window: Window) -> None:
    """No clean schedule has one, so the record in the page is bent for this test."""
    since, _ = window.part()
    late = window.run(
        """
        const stay = player.data.stays.find((s) => s.most !== null && s.since > arguments[0]);
        stay.most = stay.least = 5;
        return [stay.since, `place-${stay.station}-${stay.place}`.slice(6)];
        """,
        since,
    )
    window.scrub(late[0] + 20)
    row = window.seen()["board"][late[1]]
    assert (row["kind"], row["state"]) == ("over", "Over max. dwell")
