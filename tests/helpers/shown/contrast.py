"""The contrast ratio of WCAG 2.2, https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio."""

from __future__ import annotations

import re

Colour = tuple[float, float, float]


def parse(colour: str) -> Colour:
    """A colour such as ``#0b5d66`` or ``rgb(11, 93, 102)``, its parts from 0 to 255."""
    if colour.startswith("#"):
        return tuple(int(colour[i : i + 2], 16) for i in (1, 3, 5))  # type: ignore[return-value]
    red, green, blue, *_ = (float(part) for part in re.findall(r"[\d.]+", colour))
    return red, green, blue


def luminance(colour: str) -> float:
    """Relative luminance: 0 for black, 1 for white."""
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in (value / 255 for value in parse(colour))
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def ratio(one: str, other: str) -> float:
    """Contrast ratio of two colours, from 1 to 21."""
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)
