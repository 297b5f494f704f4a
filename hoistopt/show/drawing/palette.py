"""Colours and patterns, fit for colour-blind eyes and for grey printers.

The six fills were found by a search of our own: any two of them keep a CIELAB distance
of at least 25, for normal sight and for each of protanopia, deuteranopia and tritanopia
as simulated with the matrices of Machado, Oliveira and Fernandes (2009), IEEE
Transactions on Visualization and Computer Graphics 15, 1291-1298. Recipes differ in
pattern as well, so nothing hangs on colour alone. The tests of the drawing hold the
colours to this.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

FILLS = ("#6fb3c4", "#d9a746", "#9085dd", "#f1e29e", "#cd6a5b", "#bcd9c2")
PATTERNS = ("", "////", "....", "\\\\\\\\", "||||", "xxxx", "----", "oo")

TEXT = "#17202a"
QUIET = "#5a6673"
HOIST = "#17202a"
EMPTY = "#4d5a68"
BOUNDARY = "#7a2e4d"
WRONG = "#9b1c1c"
NO_MARGIN = "#b3261e"
SMALL_MARGIN = "#8a5300"
NEAR = "#b3261e"
LANE = ("#ffffff", "#f3f5f7")
RULE = "#dfe4e8"
REST: dict[str, Any] = {
    "facecolor": "none",
    "edgecolor": "#8b96a1",
    "hatch": "\\\\\\",
    "linewidth": 0.5,
}
"""A place that rests: hatched, without a colour of any recipe."""


@dataclass(frozen=True)
class Paint:
    """How one recipe's bars look; `line` is for outline and pattern."""

    fill: str
    line: str
    pattern: str


def paint(index: int) -> Paint:
    """The look of recipe number `index`, counted from 0; 48 recipes all look different."""
    fill = FILLS[index % len(FILLS)]
    # Shifted by one each round, so that a colour meets every pattern once.
    pattern = PATTERNS[(index + index // len(FILLS)) % len(PATTERNS)]
    return Paint(fill, _darker(fill), pattern)


def _darker(colour: str) -> str:
    parts = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return "#" + "".join(f"{part * 45 // 100:02x}" for part in parts)
