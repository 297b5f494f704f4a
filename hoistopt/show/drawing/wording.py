"""Steps of time and names as the diagram writes them."""

from __future__ import annotations

from fractions import Fraction
from unicodedata import east_asian_width

# Steps people count time in; outside of these, 1-2-5 and powers of ten.
_SIXTIES = (
    1,
    2,
    5,
    10,
    15,
    20,
    30,
    60,
    120,
    180,
    240,
    300,
    600,
    900,
    1200,
    1800,
    3600,
    7200,
    14400,
)
_HOURS = (Fraction(1, 4), Fraction(1, 2), 1, 2, 3, 4, 6, 12, 24, 48)
_USUAL: dict[str, tuple[int | Fraction, ...]] = {"s": _SIXTIES, "min": _SIXTIES, "h": _HOURS}
_LINE = 40


def tick_step(span: Fraction, unit: str, most: int) -> Fraction:
    """The least usual step of time that makes at most `most` steps of `span`."""
    wanted = span / max(1, most)
    usual = _USUAL.get(unit, ())
    if usual and usual[0] <= wanted <= usual[-1]:
        return Fraction(next(step for step in usual if step >= wanted))
    power = Fraction(10) ** (len(str(int(wanted))) if wanted >= 1 else 0)
    while power > wanted:
        power /= 10
    return next(power * factor for factor in (1, 2, 5, 10) if power * factor >= wanted)


def wrapped(name: str, width: int = _LINE) -> str:
    """A name on lines of at most `width` narrow characters, broken at spaces if it can be."""
    lines: list[str] = []
    rest = name
    while _width(rest) > width:
        cut = _characters_within(rest, width)
        space = rest.rfind(" ", width // 3, cut + 1)
        cut = space if space > 0 else cut
        lines.append(rest[:cut].rstrip())
        rest = rest[cut:].lstrip()
    return "\n".join([*lines, rest])


def _width(text: str) -> int:
    return sum(2 if east_asian_width(character) in "WF" else 1 for character in text)


def _characters_within(text: str, width: int) -> int:
    used = 0
    for number, character in enumerate(text):
        used += _width(character)
        if used > width:
            return max(1, number)
    return len(text)
