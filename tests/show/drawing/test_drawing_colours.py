"""Colours that colour-blind eyes can tell apart and that stand out from their ground."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from hoistopt.show.drawing.palette import (
    BOUNDARY,
    EMPTY,
    FILLS,
    HOIST,
    LANE,
    QUIET,
    TEXT,
    WRONG,
    paint,
)

pytestmark = pytest.mark.quick

# Machado, Oliveira, Fernandes (2009), A physiologically-based model for simulation of
# color vision deficiency, IEEE Transactions on Visualization and Computer Graphics
# 15(6), 1291-1298: matrices for severity 1.0, applied to linear RGB. Compared with those
# in the library colorspacious 1.1.2, digit for digit.
SIGHTS = {
    "normal": np.eye(3),
    "protanopia": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "deuteranopia": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
    "tritanopia": np.array(
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ]
    ),
}
# Linear sRGB to CIE XYZ, white point D65: IEC 61966-2-1, from memory.
TO_XYZ = np.array(
    [
        [0.4124564, 0.3575761, 0.1804375],
        [0.2126729, 0.7151522, 0.0721750],
        [0.0193339, 0.1191920, 0.9503041],
    ]
)


def linear(colour: str) -> np.ndarray:
    parts = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def lab(light: np.ndarray) -> np.ndarray:
    """CIELAB of linear RGB (CIE 15, from memory)."""
    ratio = TO_XYZ @ np.clip(light, 0, 1) / TO_XYZ.sum(axis=1)
    f = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def contrast(one: str, other: str) -> float:
    """Contrast ratio of WCAG 2.1 (W3C Recommendation, 2018), by relative luminance."""
    lights = sorted(float(TO_XYZ[1] @ linear(colour)) for colour in (one, other))
    return (lights[1] + 0.05) / (lights[0] + 0.05)


def test_the_measures_agree_with_known_values() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert lab(linear("#ffffff")) == pytest.approx([100, 0, 0], abs=0.01)
    # Red and green of equal lightness are what a deuteranope confuses.
    red, green = linear("#c05050"), linear("#7d7d2c")
    apart = np.linalg.norm(lab(red) - lab(green))
    confused = np.linalg.norm(
        lab(SIGHTS["deuteranopia"] @ red) - lab(SIGHTS["deuteranopia"] @ green)
    )
    assert confused < apart / 2


@pytest.mark.parametrize("sight", SIGHTS)
def test_any_two_fills_can_be_told_apart(sight: str) -> None:
    seen = {fill: lab(SIGHTS[sight] @ linear(fill)) for fill in FILLS}
    for one, other in combinations(FILLS, 2):
        assert np.linalg.norm(seen[one] - seen[other]) >= 25, (one, other)


def test_all_text_has_the_contrast_small_print_needs() -> None:
    # WCAG 2.1, success criterion 1.4.3: 4.5 to 1.
    for ground in LANE:
        for ink in (TEXT, QUIET, BOUNDARY, WRONG):
            assert contrast(ink, ground) >= 4.5, (ink, ground)
    for fill in FILLS:
        assert contrast(TEXT, fill) >= 4.5, fill


def test_all_lines_and_outlines_have_the_contrast_graphics_need() -> None:
    # WCAG 2.1, success criterion 1.4.11: 3 to 1.
    for ground in LANE:
        for ink in (HOIST, EMPTY, BOUNDARY, WRONG, *(paint(n).line for n in range(6))):
            assert contrast(ink, ground) >= 3, (ink, ground)
    for number, fill in enumerate(FILLS):
        assert contrast(HOIST, fill) >= 3, fill
        assert contrast(paint(number).line, fill) >= 2, fill


def test_recipes_differ_in_pattern_not_in_colour_alone() -> None:
    paints = [paint(number) for number in range(48)]
    assert len({(p.fill, p.pattern) for p in paints}) == 48
    assert len({p.pattern for p in paints[:6]}) == 6
