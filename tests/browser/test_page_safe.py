"""The page in a browser: quiet, alone, and deaf to what hostile names try."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from tests.helpers.shown.report_lines import HOSTILE
from tests.helpers.shown.report_window import Window

Show = Callable[..., Window]
LINES = (
    "quillhaven_anodising",
    pytest.param("phillips_unger_1976", marks=pytest.mark.long),
    "mixed",
)


@pytest.mark.parametrize("name", LINES)
def test_a_whole_visit_is_quiet_and_asks_for_nothing(name: str, show: Show) -> None:
    window = show(name)
    for part in ("all", "run-out", "fill", "steady"):
        window.choose(part)
    window.click("#go-play")
    window.click("#go-on")
    window.click("#go-last")
    window.theme("dark")
    window.resize(768, 1024)
    assert window.seen()["words"]
    assert window.run("return performance.getEntriesByType('resource').length") == 0
    asked = window.requests()
    assert asked and set(asked) == {window.url}
    # assert_quiet() follows at the end of every test that opens a page.


def test_the_listeners_would_hear_trouble(show: Show, driver: Any) -> None:
    """Else the quiet of the other tests would mean nothing."""
    window = show("three_tanks_dryer")
    window.run("console.error('heard'); document.body.append(new Image()); ")
    window.run("fetch('https://example.invalid/x').catch(() => 0)")
    window.wait(0.2)
    told = [entry["message"] for entry in driver.get_log("browser")]
    assert any("heard" in message for message in told)
    # The policy refuses the request before it leaves the page.
    assert any("Content Security Policy" in m and "example.invalid" in m for m in told)


def test_nothing_put_into_the_page_by_force_would_run(show: Show, driver: Any) -> None:
    """The policy is the second wall: even markup that got in could do nothing."""
    window = show("three_tanks_dryer")
    window.run(
        """
        document.body.insertAdjacentHTML('beforeend',
          '<img src=x onerror="window.broken=1"><b id=b onclick="window.broken=2">b</b>' +
          '<p id=styled style="color: rgb(1, 2, 3)">s</p>');
        const script = document.createElement('script');
        script.textContent = 'window.broken=3';
        document.body.append(script);
        document.getElementById('b').click();
        """
    )
    window.wait()
    assert window.run("return window.broken") is None
    colour = "return getComputedStyle(document.getElementById('styled')).color"
    assert window.run(colour) != "rgb(1, 2, 3)"
    driver.get_log("browser")  # the refusals themselves


def test_hostile_names_are_shown_as_they_are_written(show: Show) -> None:
    window = show("hostile")
    for part in ("all", "steady"):
        window.choose(part)
        for _ in range(3):
            window.click("#go-on")
    assert window.run("return window.broken") is None
    for selector in (".board bdi", ".line .station > title"):
        shown = window.run(
            "return [...document.querySelectorAll(arguments[0])].map((e) => e.textContent)",
            selector,
        )
        assert shown == list(HOSTILE)
    assert window.run("return document.title").startswith(HOSTILE[0])
    assert window.run("return document.querySelector('h1').textContent") == HOSTILE[0]
    assert window.run("return document.querySelectorAll('img, iframe, object, b').length") == 0
    assert window.run("return document.scripts.length") == 2
    assert (
        window.run("return document.querySelectorAll('[onclick], [onload], [onerror]').length") == 0
    )


def test_hostile_names_reach_words_and_labels_as_text(show: Show) -> None:
    """Every station's name turns up in what the player says while it is served."""
    window = show("hostile")
    window.choose("all")
    since, until = window.part()
    told = window.run(
        """
        const found = new Set();
        for (let t = arguments[0]; t < arguments[1]; t += 1) {
          player.jump(t);
          found.add(document.getElementById('now-line').textContent);
          found.add(document.getElementById('time').getAttribute('aria-valuetext'));
        }
        return [...found].join('\\n');
        """,
        since,
        until,
    )
    for name in HOSTILE:
        assert name in told
    assert window.run("return window.broken") is None
    window.wait(0.5)
    assert window.run("return document.getElementById('spoken').childElementCount") == 0


def test_without_scripts_all_but_the_player_is_there(show: Show, driver: Any) -> None:
    driver.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    try:
        window = show("quillhaven_anodising")
        shown = {
            selector: [e.is_displayed() for e in driver.find_elements("css selector", selector)]
            for selector in ("#player", "#board-box", "#appearance", "noscript p", "table.steps",
                             "table.margins", "svg.timeway", "footer")
        }  # fmt: skip
    finally:
        driver.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})
    for selector in ("#player", "#board-box", "#appearance"):
        assert shown[selector] == [False]
    for selector in ("noscript p", "table.steps", "table.margins", "svg.timeway", "footer"):
        assert shown[selector] == [True]
    assert window.url.endswith(".html")
