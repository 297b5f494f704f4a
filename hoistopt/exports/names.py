"""Names as each format can carry them: escaped so that no name is ever taken for code.

The escapes can be undone, so that a file read back gives the user's own names.
"""

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
# A comma is safe within quotes; the other separators are not where a spreadsheet goes by
# them, as it then sees no quotes around the cell.
_UNSAFE_IN_CELL = re.compile(r"[\\;\t\r\n]")
_ESCAPE = re.compile(r"\\u([0-9a-f]{4})|\\U([0-9a-f]{8})")
# The wide forms count too: some spreadsheets take them for the narrow ones.
_FORMULA = ("=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20", "'")


def _escaped(sign: str) -> str:
    code = ord(sign)
    return f"\\u{code:04x}" if code <= 0xFFFF else f"\\U{code:08x}"


def unescape(text: str) -> str:
    """Undo the escapes of :func:`for_comment` and :func:`for_cell`."""
    return _ESCAPE.sub(lambda found: chr(int(found[1] or found[2], 16)), text)


def for_comment(name: str) -> str:
    """A name for a comment of a program: plain ASCII that cannot end the comment."""
    return "".join(sign if _SAFE_IN_COMMENT.fullmatch(sign) else _escaped(sign) for sign in name)


def for_cell(name: str) -> str:
    """A name for a cell of a CSV file: no formula, no separator but the comma, one line.

    An apostrophe keeps a spreadsheet from taking the text for a formula; it stands also
    before a name that begins with one, so that :func:`from_cell` can always drop one.
    """
    text = "".join(
        _escaped(sign) if _UNSAFE_IN_CELL.match(sign) or not sign.isprintable() else sign
        for sign in name
    )
    return f"'{text}" if text.startswith(_FORMULA) else text


def from_cell(text: str) -> str:
    """Undo :func:`for_cell`."""
    return unescape(text.removeprefix("'"))


def identifier(name: str) -> str:
    """The letters and digits of a name, joined by single underscores; may be empty.

    Accents are dropped; letters of other scripts are left out.
    """
    plain = unicodedata.normalize("NFKD", name)
    plain = "".join(sign for sign in plain if not unicodedata.combining(sign))
    return "_".join(re.findall(r"[A-Za-z0-9]+", plain))


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
    """The same with numbers added where two differ at most in case."""
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
