"""What the TOML reader does not say or stop: decimal commas, and keys of great depth."""

from __future__ import annotations

import re

from ...base.errors import InputError

MOST_KEYS = 8
"""Keys in a row with dots between. No key of a problem file lies deeper than three."""

# Atomic groups and the look-behind keep this linear: no part of a key is read twice.
_PART = r"""(?>[A-Za-z0-9_-]+|"[^"\n]*"|'[^'\n]*')"""
_DEEP = re.compile(rf"(?<![\w.-]){_PART}(?>[ \t]*\.[ \t]*{_PART}){{{MOST_KEYS},}}")
_LINE = re.compile(r"at line (\d+)")
_COMMA = re.compile(r"""=\s*(?:\[\s*)?([+-]?\d+),(\d+)(?=\s*(?:[,}\]#]|$))""")


def refuse_deep_keys(text: str) -> None:
    """Refuse keys such as ``a.a.a.a``: of thousands the reader would make gigabytes.

    Raises
    ------
    InputError
        Naming the line.
    """
    found = _DEEP.search(text)
    if found is not None:
        raise InputError(
            f"at most {MOST_KEYS} keys with dots between",
            field=f"line {text.count(chr(10), 0, found.start()) + 1}",
            value=found[0],
            way_out="Put a space into it where it is no key but a text.",
        )


def decimal_comma(text: str, reason: str) -> str | None:
    """What to do about a decimal comma, if there is one in the line that TOML stumbles over.

    Parameters
    ----------
    text : str
        The file.
    reason : str
        What the TOML reader said, with the line's number in it.
    """
    place = _LINE.search(reason)
    if place is None:
        return None
    number = int(place[1])
    lines = text.splitlines()
    for at in (number, number - 1):  # the reader may only notice at the start of the next line
        found = _COMMA.search(lines[at - 1]) if 0 < at <= len(lines) else None
        if found:
            return f"In line {at} write a decimal point: {found[1]}.{found[2]}."
    return None
