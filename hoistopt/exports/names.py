"""Names as each format can carry them: escaped so that no name is ever taken for code.

The escapes can be undone, so that a file read back gives the user's own names.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from ..base.cells import escaped
from ..base.errors import InputError

LONGEST_IDENTIFIER = 32
"""Characters of an identifier that controllers take; common practice, no source: the
standard leaves the limit to the maker."""

# No asterisk, so no comment can end or begin; no quote, brace, dollar sign or backslash.
_SAFE_IN_COMMENT = re.compile(r"[A-Za-z0-9 .,_:;+=#%!?&<>|()/-]")


def for_comment(name: str) -> str:
    """A name for a comment of a program: plain ASCII that cannot end the comment.

    :func:`~hoistopt.base.cells.unescaped` gives it back.
    """
    return "".join(sign if _SAFE_IN_COMMENT.fullmatch(sign) else escaped(sign) for sign in name)


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
