"""Colours of the report: contrast by the formula of WCAG 2.2.

Source: Web Content Accessibility Guidelines 2.2, W3C Recommendation, definitions of
"contrast ratio" and "relative luminance"; success criteria 1.4.3 (text, 4.5 to 1) and
1.4.11 (signs, 3 to 1). https://www.w3.org/TR/WCAG22/
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from hoistopt.show.drawing.palette import FILLS, TEXT
from hoistopt.show.report import page
from hoistopt.show.report.palette import DARK, LIGHT
from tests.helpers.shown.contrast import ratio

THEMES = {"light": LIGHT, "dark": DARK}
ASSETS = Path(page.__file__).parent / "assets"

TEXT_ON = (
    ("text", "page"),
    ("text", "card"),
    ("text", "sunk"),
    ("text", "mark"),
    ("text", "bath"),
    ("text", "lane"),
    ("quiet", "page"),
    ("quiet", "card"),
    ("quiet", "sunk"),
    ("quiet", "mark"),
    ("quiet", "lane"),
    ("accent", "card"),
    ("accent", "page"),
    ("on-accent", "accent"),
    ("early", "card"),
    ("ready", "card"),
    ("over", "card"),
    ("over", "sunk"),
    ("scarce", "card"),
    ("scarce", "sunk"),
    ("restart", "card"),
)
"""Every colour text is written in, with what it is written on."""

SIGNS_ON = (
    ("edge", "card"),
    ("edge", "page"),
    ("edge", "bath"),
    ("focus", "card"),
    ("focus", "page"),
    ("focus", "sunk"),
    ("early", "sunk"),
    ("ready", "sunk"),
    ("over", "sunk"),
    ("text", "window"),
    ("ready", "window"),
    ("over", "window"),
    ("scarce", "window"),
    ("scarce", "bath"),
    ("over", "bath"),
    ("accent", "sunk"),
)
"""Every colour of a sign, edge or focus ring, with what it lies on."""


def test_the_formula_gives_the_published_ends_of_the_scale() -> None:
    """Black on white is 21 to 1 and equal colours 1 to 1, says the definition."""
    assert ratio("#000000", "#ffffff") == pytest.approx(21)
    assert ratio("#123456", "#123456") == 1
    # From the standard's formula by hand: 0.2126 for pure red, so 1.05 / 0.2626.
    assert ratio("#ffffff", "#ff0000") == pytest.approx(1.05 / 0.2626, abs=1e-9)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("pair", TEXT_ON, ids=" on ".join)
def test_text_can_be_read(theme: str, pair: tuple[str, str]) -> None:
    colours = THEMES[theme]
    assert ratio(colours[pair[0]], colours[pair[1]]) >= 4.5


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("pair", SIGNS_ON, ids=" on ".join)
def test_signs_can_be_seen(theme: str, pair: tuple[str, str]) -> None:
    colours = THEMES[theme]
    assert ratio(colours[pair[0]], colours[pair[1]]) >= 3


@pytest.mark.parametrize("fill", FILLS)
def test_a_carriers_number_can_be_read_on_every_recipes_colour(fill: str) -> None:
    assert ratio(TEXT, fill) >= 4.5


def test_both_themes_have_the_same_colours_and_the_styles_no_others() -> None:
    assert set(LIGHT) == set(DARK)
    used: set[str] = set()
    for name in page.STYLES:
        sheet = (ASSETS / name).read_text(encoding="utf-8")
        used |= set(re.findall(r"var\(--([\w-]+)\)", sheet))
        # Numbers on carriers keep to the carriers' own colours.
        assert set(re.findall(r"#[0-9a-fA-F]{3,8}\b", re.sub(r"#[a-z-]+[ ,{]", "", sheet))) <= {
            TEXT
        }
    assert used <= set(LIGHT)
