"""How wide text is, and where its lines break, in the font the drawings use.

The letters of DejaVu Sans are as wide as any common sans-serif font's, so what fits by these
widths fits a browser's font too.
"""

from __future__ import annotations

from functools import cache, lru_cache
from typing import Any

_UNKNOWN = 1.0
"""Width of a sign the font lacks, in its size: that of a full-width letter."""


@cache
def _font(bold: bool) -> Any:
    from matplotlib import font_manager, ft2font

    properties = font_manager.FontProperties(
        family="DejaVu Sans", weight="bold" if bold else "normal"
    )
    font = ft2font.FT2Font(font_manager.findfont(properties))
    font.set_size(100, 72)
    return font


@lru_cache(maxsize=10_000)
def _advance(sign: str, bold: bool) -> float:
    """Width of a sign, as a share of the size of the type."""
    font = _font(bold)
    if not font.get_char_index(ord(sign)):
        return _UNKNOWN
    return float(font.load_char(ord(sign)).linearHoriAdvance) / 65536 / 100


def width(text: str, size: float, bold: bool = False) -> float:
    """Width of one line of text, in points.

    Parameters
    ----------
    size : float
        Of the type, in points.
    """
    return size * _ems(text, bold)


@lru_cache(maxsize=10_000)
def _ems(text: str, bold: bool) -> float:
    """Width of a line as a share of the size of the type; kept, for pages are tried in sizes."""
    return sum(_advance(sign, bold) for sign in text)


def broken(text: str, room: float, size: float, bold: bool = False) -> list[str]:
    """Text as lines no wider than the room; a word too long for a line is cut.

    Parameters
    ----------
    room : float
        In points.
    """
    lines: list[str] = []
    line = ""
    for word in filter(None, text.split(" ")):  # a no-break space stays
        longer = f"{line} {word}" if line else word
        if width(longer, size, bold) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        line = word
        while width(line, size, bold) > room and len(line) > 1:
            kept = _fitting(line, room, size, bold)
            lines.append(line[:kept])
            line = line[kept:]
    return [*lines, line] if line else lines or [""]


def _fitting(word: str, room: float, size: float, bold: bool) -> int:
    """How many signs of a word fit, at least one."""
    used, count = 0.0, 0
    for sign in word:
        used += size * _advance(sign, bold)
        if used > room:
            break
        count += 1
    return max(1, count)
