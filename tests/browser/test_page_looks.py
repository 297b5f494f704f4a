"""How the page looks: it fits, can be read in light and dark, and prints on A4."""

from __future__ import annotations

import base64
import io
import math
import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from hoistopt.app.solve import solve
from hoistopt.base.effort import Effort
from hoistopt.show.report.case import Case
from hoistopt.show.report.page import case_html
from tests.helpers.shown.contrast import parse, ratio
from tests.helpers.shown.report_lines import PROBLEMS
from tests.helpers.shown.report_window import Window

Show = Callable[..., Window]
LINES = ("three_tanks_dryer", "quillhaven_anodising", "phillips_unger_1976", "mixed", "long")

# Every piece of text that can be seen, with its colour, what is behind it, and its size.
_TEXTS = """
const found = [];
const solid = (colour) => !/^rgba\\(.*, 0\\)$/.test(colour) && colour !== 'transparent';
const behind = (element) => {
  for (let e = element; e; e = e.parentElement) {
    const colour = getComputedStyle(e).backgroundColor;
    if (solid(colour)) return colour;
  }
  return 'rgb(255, 255, 255)';
};
const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
for (let node = walker.nextNode(); node; node = walker.nextNode()) {
  const element = node.parentElement;
  const text = node.textContent.trim();
  if (!text || !element.checkVisibility() || element.closest('script, title, .spoken, noscript')) continue;
  const style = getComputedStyle(element);
  const drawn = element.closest('svg');
  // The number on a carrier stands on the carrier's own colour.
  const carrier = element.closest('.carrier-number') && element.closest('.carrier').querySelector('rect');
  found.push([
    text.slice(0, 40),
    drawn ? style.fill : style.color,
    carrier ? getComputedStyle(carrier).fill : behind(drawn || element),
    parseFloat(style.fontSize),
  ]);
}
return found;
"""  # noqa: E501


def themed(show: Show, name: str, theme: str, width: int) -> Window:
    """Half way through the steady cycles, with something standing and something moving."""
    window = show(name, width=width, prefers_color_scheme=theme)
    since, until = window.part()
    window.scrub(since + 0.45 * (until - since))
    return window


@pytest.mark.parametrize(
    ("name", "theme"),
    [
        ("quillhaven_anodising", "light"),
        ("mixed", "dark"),
        pytest.param("quillhaven_anodising", "dark", marks=pytest.mark.long),
        pytest.param("mixed", "light", marks=pytest.mark.long),
    ],
)
def test_all_text_can_be_read(name: str, theme: str, show: Show) -> None:
    """At least 4.5 to 1, WCAG 2.2, success criterion 1.4.3, as the browser paints it."""
    texts = themed(show, name, theme, 1280).run(_TEXTS)
    assert len(texts) > 150
    for text, colour, ground, _ in texts:
        assert ratio(colour, ground) >= 4.5, (text, colour, ground)
    assert min(size for *_, size in texts) >= 9.5
    page = [ground for text, _, ground, _ in texts if text == "Hoist schedule"]
    assert (sum(parse(page[0])) > 382) == (theme == "light")


def test_the_switch_overrules_the_system(show: Show) -> None:
    ground = "return getComputedStyle(document.body).backgroundColor"
    window = show("three_tanks_dryer", prefers_color_scheme="dark")
    dark = window.run(ground)
    window.theme("light")
    light = window.run(ground)
    assert sum(parse(light)) > 600 > 150 > sum(parse(dark))
    window.media(prefers_color_scheme="light")
    window.theme("dark")
    assert window.run(ground) == dark
    window.theme("system")
    assert window.run(ground) == light


@pytest.mark.parametrize(
    ("name", "theme"),
    [
        *((name, "light") for name in LINES[:-1]),
        ("long", "dark"),
        pytest.param("quillhaven_anodising", "dark", marks=pytest.mark.long),
        pytest.param("long", "light", marks=pytest.mark.long),
    ],
)
def test_the_page_fits_the_screen(name: str, theme: str, show: Show) -> None:
    """Parts may scroll within themselves, the page never sideways (WCAG 2.2, 1.4.10)."""
    window = themed(show, name, theme, 360)
    for width in (360, 768, 1440):
        window.resize(width, 900)
        window.wait()
        assert window.run("return document.documentElement.scrollWidth") <= width
        data = window.picture(f"{name}-{width}-{theme}")
        pixels = np.asarray(Image.open(io.BytesIO(data)))
        assert pixels.shape[1] == width
        seen = (pixels[::37, ::37, :3].reshape(-1, 3) / 255).round(2)
        assert len({tuple(p) for p in seen}) > 8


_DEGREES = """
const table = document.querySelector('table.degrees'), box = table.closest('.scrolled');
const lines = (cell) => cell.getBoundingClientRect().height / parseFloat(getComputedStyle(cell).lineHeight);
const start = box.scrollLeft;
box.scrollLeft = 1e6;
const last = table.querySelector('tbody tr td:last-child').getBoundingClientRect();
const found = {
  lines: Math.max(...[...table.querySelectorAll('tbody td:last-child')].map(lines)),
  width: last.width, over: last.right - box.getBoundingClientRect().right,
};
box.scrollLeft = start;
return found;
"""  # noqa: E501


def test_answers_of_the_degrees_keep_their_lines_on_a_narrow_screen(
    driver: Any, tmp_path: Path
) -> None:
    """A table too wide for the screen scrolls in its box, no column a word a line."""
    solved = solve(PROBLEMS / "parallel_tanks.toml", (1, 2, 3), Effort(workers=1))
    assert solved.best is not None and solved.replay is not None
    seen, compared = solved.replay, solved.compared
    # The longest answer that there is, whatever a search of the day comes to.
    rows = [replace(row, searched=False, lower_bound=Decimal(0)) for row in compared.rows]
    told = replace(compared, rows=tuple(rows))
    path = tmp_path / "page.html"
    case = Case(solved.problem, seen.schedule, seen, solved.best, degrees=told)
    path.write_text(case_html(case), encoding="utf-8")
    window = Window(driver, path)
    window.open()
    for width in (360, 500, 800, 1400):
        window.resize(width, 900)
        found = window.run(_DEGREES)
        assert found["width"] >= 13 * 16 and found["lines"] <= 5, width
        assert found["over"] <= 1
        assert window.run("return document.documentElement.scrollWidth") <= width


_CAPTION = """
const box = document.getElementById('steps-box').getBoundingClientRect();
const title = document.querySelector('.steps caption > span').getBoundingClientRect();
const more = document.querySelector('.steps caption .on-screen');
return { over: title.right - box.right, more: more && more.checkVisibility() };
"""


@pytest.mark.parametrize(("name", "more"), [("long", True), ("three_tanks_dryer", None)])
def test_a_step_table_says_that_more_rows_follow_but_on_paper(
    name: str, more: bool | None, show: Show, driver: Any
) -> None:
    window = show(name)
    for width in (360, 500, 1280):
        window.resize(width, 900)
        seen = window.run(_CAPTION)
        assert seen["more"] is more
        assert seen["over"] <= 1, "the end of the caption is cut off"
    hidden = (
        "const b = document.getElementById('steps-box'); return b.scrollHeight - b.clientHeight"
    )
    assert (window.run(hidden) > 0) == bool(more)
    driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    try:
        assert window.run(_CAPTION)["more"] is (None if more is None else False)
        assert window.run(hidden) == 0
    finally:
        driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})


_OVERLAPS = """
const boxes = (selector) => [...document.querySelectorAll(selector)].map((e) => {
  const r = e.getBoundingClientRect(); return [r.left, r.top, r.right, r.bottom];
});
const picture = document.querySelector('.line').getBoundingClientRect();
return { box: document.getElementById('stage').clientWidth,
         tanks: boxes('.station .wall'), labels: boxes('.line .name:not(.slanted)'),
         texts: boxes('.line text:not(:empty)').filter((box) => box[2] > box[0]),
         scale: boxes('.line .scale'),
         slanted: [...document.querySelectorAll('.line .name.slanted')].map((e) => [
           Number(e.getAttribute('x')), parseFloat(getComputedStyle(e).fontSize)]),
         picture: [picture.left, picture.top, picture.right, picture.bottom] };
"""


@pytest.mark.parametrize("name", LINES)
def test_the_whole_line_is_seen_on_a_tablet_and_nothing_collides(name: str, show: Show) -> None:
    window = themed(show, name, "light", 1440)
    slanted = 0
    for width in (1440, 768):
        window.resize(width, 900)
        window.wait()
        seen: dict[str, Any] = window.run(_OVERLAPS)
        for kind in ("tanks", "labels", "scale"):
            for one, other in combinations(seen[kind], 2):
                beside = one[2] <= other[0] + 0.6 or other[2] <= one[0] + 0.6
                assert beside or one[3] <= other[1] + 0.6 or other[3] <= one[1] + 0.6, kind
        # Slanted labels are lines of text 55 degrees to the level: none on another's.
        for (one, size), (other, _) in combinations(seen["slanted"], 2):
            assert abs(other - one) * math.sin(math.radians(55)) >= 1.15 * size
        slanted += len(seen["slanted"])
        left, top, right, bottom = seen["picture"]
        # The line fills its box and never has to be scrolled.
        assert right - left == pytest.approx(seen["box"], abs=1)
        assert 0.85 * width < right - left < width
        for box in seen["texts"] + seen["tanks"]:
            assert left - 1 <= box[0] and box[2] <= right + 1
            assert top - 1 <= box[1] and box[3] <= bottom + 1
    assert slanted or name != "phillips_unger_1976"


def test_controls_are_large_enough_for_a_finger(show: Show) -> None:
    """At least 24 by 24 CSS pixels: WCAG 2.2, success criterion 2.5.8; buttons more."""
    window = show("three_tanks_dryer", width=768)
    sizes = window.run(
        "return [...document.querySelectorAll('button, select, #time, .choice label')].map((e) => {"
        "const r = e.getBoundingClientRect(); return [e.id, r.width, r.height]; })"
    )
    for name, width, height in sizes:
        least = 44 if name.startswith("go-") else 24
        assert width >= least and height >= least, name


@pytest.mark.parametrize(("name", "turned"), [("quillhaven_anodising", 1), ("long", 0)])
def test_it_prints_on_a4_with_a_wide_diagram_turned_round(
    name: str, turned: int, show: Show, driver: Any
) -> None:
    window = show(name, prefers_color_scheme="dark")
    window.theme("dark")
    asked = {"preferCSSPageSize": True, "printBackground": False, "transferMode": "ReturnAsBase64"}
    printed = base64.b64decode(driver.execute_cdp_cmd("Page.printToPDF", asked)["data"])
    boxes = re.findall(rb"/MediaBox\s*\[([\d. ]+)\]", printed)
    sizes = [tuple(round(float(part)) for part in box.split()[2:]) for box in boxes]
    # A4 is 210 mm by 297 mm (ISO 216), 595.28 by 841.89 points.
    assert set(sizes) <= {(595, 842), (842, 595)}
    assert sizes.count((842, 595)) == turned
    assert 3 <= len(sizes) <= 5


@pytest.mark.parametrize("chosen", ["system", "dark"])
def test_on_paper_there_is_no_player_and_no_darkness(chosen: str, show: Show, driver: Any) -> None:
    window = show("quillhaven_anodising", prefers_color_scheme="dark")
    window.theme(chosen)
    dark = [{"name": "prefers-color-scheme", "value": "dark"}]
    driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print", "features": dark})
    try:
        player = window.run(
            "return ['#player', '#board-box', '#appearance']"
            ".map((s) => document.querySelector(s).checkVisibility())"
        )
        assert player == [False] * 3
        texts = window.run(_TEXTS)
        assert len(texts) > 150
        for text, colour, ground, _ in texts:
            # Without the background graphics, too, but for the badge, which keeps its own.
            assert ratio(colour, ground) >= 4.5, text
            assert "Proved" in text or ratio(colour, "#ffffff") >= 4.5, text
        box = "const b = document.getElementById('steps-box');"
        assert window.run(f"{box} return b.scrollHeight - b.clientHeight") == 0
    finally:
        driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
