"""The player's marks and measures: margins, units, small screens, nothing over the state."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

import pytest

from tests.helpers.shown.report_lines import solved
from tests.helpers.shown.report_pages import BOTH
from tests.helpers.shown.report_window import Window

Show = Callable[..., Window]


def test_a_small_margin_has_words_and_a_sign_of_its_own(show: Show) -> None:
    """By hand: Tank 6 of the 1976 line, 60 to 120 s: at 113 s there are 7 left, at 115 s 5."""
    window = show("phillips_unger_1976")
    _, result = solved("phillips_unger_1976")
    assert result.replay is not None
    since, until = window.part()
    stay = next(
        s
        for s in result.replay.stays
        if s.station == "Tank 6" and since <= s.since and (s.until or 0) < until
    )
    seen = []
    for dwell in (50, 113, 115):
        window.scrub(float(stay.since) + dwell)
        (row,) = [r for r in window.seen()["board"].values() if "60 to 120 s" in r["window"]]
        seen.append((row["kind"], row["close"], row["state"], row["sign"]))
    assert [entry[:3] for entry in seen] == [
        ("early", False, "Not yet, 10 s to go"),
        ("ready", False, "Yes, within 7 s"),
        ("ready", True, "Yes, only 5 s left"),
    ]
    assert len({sign for *_, sign in seen}) == 3


_STANDING = """
const box = (e) => { const r = e.getBoundingClientRect(); return [r.left, r.top, r.right, r.bottom]; };
return {
  heat: [...document.querySelectorAll('.heat')].map(box),
  told: [...document.querySelectorAll('.carrier.standing')].flatMap((c) =>
    [...c.querySelectorAll(':scope > path, .carrier-number, .small-gauge, .reading:not(:empty)')].map(box)),
  readings: [...document.querySelectorAll('.carrier.standing .reading')].map((e) => e.textContent),
  numbers: [...document.querySelectorAll('.carrier-number')].map((e) => e.textContent),
  gauges: [...document.querySelectorAll('.carrier.standing .small-gauge .track')].map((e) => e.getBBox().height),
};
"""  # noqa: E501


@pytest.mark.parametrize("width", [1280, 420])
def test_no_ornament_lies_over_what_is_told_of_a_carrier(width: int, show: Show) -> None:
    window = show("quillhaven_anodising", width=width)
    since, until = window.part()
    met = 0
    for share in (0.05, 0.3, 0.55, 0.8):
        window.scrub(since + share * (until - since))
        seen = window.run(_STANDING)
        assert seen["heat"]
        for one in seen["heat"]:
            for other in seen["told"]:
                met += 1
                beside = one[2] <= other[0] or other[2] <= one[0]
                assert beside or one[3] <= other[1] or other[3] <= one[1]
    assert met


def test_gauges_have_units_and_a_height_to_be_read(show: Show) -> None:
    window = show("quillhaven_anodising")
    since, until = window.part()
    window.scrub(since + 0.45 * (until - since))
    seen = window.run(_STANDING)
    assert seen["readings"] and all(text.endswith(" s") for text in seen["readings"] if text)
    assert all(text.startswith("C") for text in seen["numbers"])
    assert min(seen["gauges"]) >= 10
    windows = [row["window"] for row in window.seen()["board"].values() if row["window"]]
    assert windows and all(text.endswith(" s") for text in windows)


_NARROW = """
const lines = (e) => new Set([...e.getClientRects()].map((r) => Math.round(r.top))).size;
const board = document.getElementById('board-box');
const right = board.getBoundingClientRect().right;
const states = [...board.querySelectorAll('.state, .gauge svg, .window-words')].filter((e) => e.checkVisibility());
return {
  kept: [...document.querySelectorAll('.kept')].filter((e) => e.checkVisibility()).map(lines),
  cut: states.filter((e) => e.getBoundingClientRect().right > right + 0.5).length,
  states: states.length,
  overflow: board.scrollWidth - board.clientWidth,
  parts: [...document.querySelectorAll('#parts label')].map((e) => {
    const r = e.getBoundingClientRect(); return [r.left, r.top, r.right, r.bottom];
  }),
  titles: [...document.querySelectorAll('.card dt')].map(lines),
  diagram: Math.min(...[...document.querySelectorAll('svg.timeway')].map((e) =>
    e.getBoundingClientRect().width / e.viewBox.baseVal.width)),
};
"""  # noqa: E501


@pytest.mark.parametrize("name", ["quillhaven_anodising", "mixed"])
def test_on_a_phone_nothing_is_cut_off_or_left_alone_on_a_line(name: str, show: Show) -> None:
    """At 420 pixels: units stay with their words, gauge and verdict are in view."""
    window = show(name, width=420)
    since, until = window.part()
    window.scrub(since + 0.45 * (until - since))
    window.wait()
    seen = window.run(_NARROW)
    assert seen["kept"] and set(seen["kept"]) == {1}
    assert seen["states"] > 5 and seen["cut"] == 0 and seen["overflow"] <= 0
    assert set(seen["titles"]) == {1}
    # The parts of the run are a whole grid: no two collide, and both columns are equal.
    for one, other in combinations(seen["parts"], 2):
        beside = one[2] <= other[0] + 0.6 or other[2] <= one[0] + 0.6
        assert beside or one[3] <= other[1] + 0.6 or other[3] <= one[1] + 0.6
    assert len({round(box[2] - box[0]) for box in seen["parts"]}) == 1
    # Text of the diagram, 6.8 points at the least, is drawn at no less than 7 pixels.
    assert 6.8 * seen["diagram"] >= 7
    window.picture(f"{name}-420-phone")


def test_the_board_is_a_table_for_a_screen_reader_on_a_phone_too(show: Show) -> None:
    """Laid out as a grid, it would be none to the browser but for its roles."""
    window = show("quillhaven_anodising", width=420)
    nodes = window.driver.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    roles = [node["role"]["value"] for node in nodes if not node["ignored"]]
    tables = [n for n in nodes if not n["ignored"] and n["role"]["value"] == "table"]
    assert "Dwell now" in [node.get("name", {}).get("value") for node in tables]
    assert roles.count("rowheader") >= 13


_TWO = """
const table = document.querySelector('.both'), box = table.closest('.scrolled');
const lines = (e) => {
  const range = document.createRange(); range.selectNodeContents(e);
  return new Set([...range.getClientRects()].map((r) => Math.round(r.bottom))).size;
};
return { overflow: box.scrollWidth - box.clientWidth,
         about: [...table.querySelectorAll('tbody th')].map(lines) };
"""


@pytest.mark.parametrize("width", [1280, 420])
def test_both_schedules_are_seen_beside_each_other(width: int, show: Show) -> None:
    """The least cycle and the one that can be run: no column out of view, each head one line."""
    window = show(BOTH, width=width)
    seen = window.run(_TWO)
    assert seen["overflow"] <= 0
    assert len(seen["about"]) >= 6 and set(seen["about"]) == {1}
    nodes = window.driver.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    roles = [node["role"]["value"] for node in nodes if not node["ignored"]]
    assert roles.count("columnheader") >= (3 if width > 640 else 2)
