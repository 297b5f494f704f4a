"""Names as programs can carry them: plain ASCII, so that no name is ever taken for code."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from ..base.errors import InputError

LONGEST_IDENTIFIER = 32
"""Characters of an identifier that controllers take; common practice, no source: the
standard leaves the limit to the maker."""

# No asterisk, so no comment can end or begin; no quote, brace, dollar sign or backslash.
_SAFE_IN_COMMENT = re.compile(r"[A-Za-z0-9 .,_:;+=#%!?&<>|()/-]")

_SPELT = {
    "\u00e4": "ae", "\u00f6": "oe", "\u00fc": "ue", "\u00c4": "Ae", "\u00d6": "Oe",
    "\u00dc": "Ue", "\u00df": "ss", "\u1e9e": "SS", "\u00f8": "oe", "\u00d8": "Oe",
    "\u00e6": "ae", "\u00c6": "Ae", "\u0153": "oe", "\u0152": "Oe", "\u00e5": "aa",
    "\u00c5": "Aa", "\u0142": "l", "\u0141": "L", "\u0111": "d", "\u0110": "D",
    "\u00f0": "d", "\u00d0": "D", "\u00fe": "th", "\u00de": "Th", "\u0131": "i",
    "\u2013": "-", "\u2014": "-", "\u2212": "-", "\u00d7": "x", "\u00b5": "u",
    "\u03bc": "u", "\u00b0": "deg", "\u2018": "", "\u2019": "", "\u201c": "", "\u201d": "",
}  # fmt: skip
"""How letters without a plain one inside are written where there are only those of ASCII;
common practice in the languages that have them, no source."""


def spelt(name: str) -> str:
    """A name in ASCII letters where there is a usual way to write it so.

    Umlauts and ligatures become two letters, accents are dropped; what is left is kept as
    it is.
    """
    composed = unicodedata.normalize("NFC", name)
    plain = "".join(_SPELT.get(sign, sign) for sign in composed)
    decomposed = unicodedata.normalize("NFKD", plain)
    return "".join(sign for sign in decomposed if not unicodedata.combining(sign))


def for_comment(name: str) -> str:
    """A name for a comment of a program: plain ASCII that cannot end the comment.

    What has no usual way to be written in ASCII becomes a question mark, a sign that could
    end the comment an underscore.
    """

    def safe(sign: str) -> str:
        if _SAFE_IN_COMMENT.fullmatch(sign):
            return sign
        return "_" if sign.isascii() else "?"

    return " ".join("".join(map(safe, spelt(name))).split())


def identifier(name: str) -> str:
    """The letters and digits of a name, joined by single underscores; may be empty.

    Umlauts become two letters, accents are dropped; letters of other scripts are left out.
    """
    return "_".join(re.findall(r"[A-Za-z0-9]+", spelt(name)))


def checked_identifier(text: str, field: str, way_out: str) -> str:
    """`text`, if it is no longer than every target takes.

    Raises
    ------
    InputError
        When it is longer than :data:`LONGEST_IDENTIFIER` characters.
    """
    if len(text) > LONGEST_IDENTIFIER:
        raise InputError(
            f"an identifier of at most {LONGEST_IDENTIFIER} characters, as the target takes no "
            f"longer ones; this one has {len(text)}",
            field=field,
            value=text,
            way_out=way_out,
        )
    return text


def unique(identifiers: Iterable[str]) -> list[str]:
    """The identifiers, with numbers added where two are equal but for upper and lower case."""
    used: set[str] = set()
    found = []
    for wanted in identifiers:
        text, number = wanted, 1
        while text.lower() in used:
            number += 1
            text = f"{wanted}_{number}"
        used.add(text.lower())
        found.append(text)
    return found
