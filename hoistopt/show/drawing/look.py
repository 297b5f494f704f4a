"""The drawing's own look, whatever the user's matplotlib is set to."""

from __future__ import annotations

import warnings
from collections.abc import Iterable, Iterator
from contextlib import contextmanager

# Fonts with scripts the one that comes with matplotlib lacks; used where installed.
_MORE_SCRIPTS = (
    "Noto Sans CJK JP",
    "Noto Sans CJK SC",
    "Yu Gothic",
    "Microsoft YaHei",
    "Malgun Gothic",
    "Hiragino Sans",
    "PingFang SC",
    "Arial Unicode MS",
    "Nirmala UI",
    "Noto Sans Devanagari",
    "Noto Sans Thai",
)


@contextmanager
def own_look(texts: Iterable[str] = ()) -> Iterator[None]:
    """Settings to draw and save under; the user's come back afterwards.

    Parameters
    ----------
    texts : iterable of str
        What the user named, to see whether it needs further fonts.
    """
    from matplotlib import style

    look = {
        "font.family": _fonts("".join(texts)),
        "font.size": 8.0,
        # A name may hold a dollar sign, and means no formula by it.
        "text.parse_math": False,
        "hatch.linewidth": 0.6,
        "axes.linewidth": 0.8,
        "svg.hashsalt": "hoistopt",
        "svg.fonttype": "path",
        "pdf.fonttype": 42,
    }
    with style.context(["default", look]), warnings.catch_warnings():
        # A character no installed font has is drawn as a box, which says enough.
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        yield


def _fonts(text: str) -> list[str]:
    from matplotlib import font_manager, ft2font

    first = "DejaVu Sans"
    if all(ord(character) < 0x250 for character in text):
        return [first]
    drawn = ft2font.FT2Font(font_manager.findfont(first)).get_charmap()
    if all(ord(character) in drawn for character in text):
        return [first]
    installed = set(font_manager.get_font_names())
    return [first, *(name for name in _MORE_SCRIPTS if name in installed)]
