"""Names and other text that a user gives and that is shown again: nothing unseen in it."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Annotated

from pydantic import AfterValidator, BeforeValidator, Field

# Signs that take no room on a page although Python counts them as printable: of those that
# the Unicode Character Database calls Default_Ignorable_Code_Point, the letters and marks,
# and the empty braille cell. Two names that differ in such a sign look the same.
_UNSEEN = re.compile(
    "[\u034f\u115f\u1160\u17b4\u17b5\u180b-\u180f\u2800\u3164\ufe00-\ufe0f\uffa0"
    "\U000e0100-\U000e01ef]"
)


def seen(text: str) -> bool:
    """Whether every sign of a text shows on a page and moves nothing else there.

    Control characters, which a terminal may obey, signs without width and signs that turn
    the direction of writing are none of these.
    """
    return text.isprintable() and not _UNSEEN.search(text)


@lru_cache(maxsize=4096)  # the same names stand at every stage, and in every changed copy of a line
def checked_name(text: str) -> str:
    """A name as it may be shown.

    Raises
    ------
    ValueError
        When a sign of it does not show, or there is space at either end.
    """
    if not seen(text) or text != text.strip():
        raise ValueError("a name of printable characters with no space at either end")
    return text


def _name(value: object) -> object:
    return checked_name(value) if isinstance(value, str) else value


def _label(value: str) -> str:
    if not seen(value):
        raise ValueError("text of printable characters on one line")
    return value


def _remark(value: str) -> str:
    if not all(seen(line) for line in re.split("[\n\t]", value)):
        raise ValueError("text of printable characters, lines and tabs")
    return value


Name = Annotated[str, Field(min_length=1, max_length=80), BeforeValidator(_name)]
"""A name: on one line, nothing in it unseen."""

Label = Annotated[str, Field(max_length=20), AfterValidator(_label)]
"""A word for the labels, which may be empty."""

Remark = Annotated[str, Field(max_length=2000), AfterValidator(_remark)]
"""Text of one line or several."""

SourceNote = Annotated[str, Field(max_length=200), AfterValidator(_label)]
"""Where a figure comes from, on one line, to be shown beside it."""
