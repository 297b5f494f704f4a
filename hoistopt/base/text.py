"""Text: that of a file, or the one error that says why not; JSON; sentences; the caution."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from difflib import get_close_matches
from pathlib import Path

from .encodings import decoded
from .errors import InputError
from .files import read_at_most
from .numbers.decimals import plain

MOST_BYTES = 5_000_000
TABLES = (".csv", ".tsv", ".txt")
"""Endings of files that hold tables: they may be in UTF-16 or Windows-1252."""
STANDING = (
    "A planning aid, not a safety function: interlocks, guarding and dwell watchdogs stay in "
    "the machine. Prove the sequence at reduced speed without load; local codes and licensed "
    "practice decide."
)
"""The caution that stands in full under every output and in every file."""


def read_text(path: Path, most: int = MOST_BYTES) -> str:
    """Read a text file in UTF-8; a table (`TABLES`) also as spreadsheets save it.

    Parameters
    ----------
    path : Path
        The file; no pipe or device, which may never end or never begin.
    most : int
        Bytes it may have.

    Raises
    ------
    InputError
        When there is no such file, or it is too large, unreadable or no text.
    """
    content = read_at_most(path, most)
    if len(content) > most:
        raise InputError(f"a file of at most {most // 1_000_000} MB", file=path)
    if path.suffix.lower() in TABLES:
        return decoded(content, path)[0]
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        read = error.object[: error.start]
        line = read.count(b"\n") + 1
        byte = error.start - (read.rfind(b"\n") + 1) + 1
        raise InputError(
            "a text file in UTF-8",
            file=path,
            field=f"line {line}, byte {byte}",
            value=f"0x{error.object[error.start]:02X}",
            way_out="Save it in that encoding: an editor offers it where it asks for the name.",
        ) from None


def json_text(data: object) -> str:
    """JSON as it stands in files: indented, with a line end; non-ASCII names stay readable.

    A Decimal is written as a number: whole, or as the nearest float.
    """
    text = json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False, default=plain)
    return f"{text}\n"


def clean(text: str) -> str:
    """Text without the characters that HTML and XML cannot carry."""
    return "".join("\N{REPLACEMENT CHARACTER}" if _bad(sign) else sign for sign in text)


def _bad(sign: str) -> bool:
    code = ord(sign)
    control = code < 0x20 and sign not in "\t\n"
    return control or 0x7F <= code < 0xA0 or 0xD800 <= code < 0xE000 or code & 0xFFFE == 0xFFFE


def load_name(number: int) -> str:
    """A load of the cycle, as shown: told from carriers, which are counted too."""
    return f"L{number}"


def listed(parts: Sequence[str]) -> str:
    """Parts of a sentence with commas and a final "and"."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} and {parts[-1]}"


def plural(number: int, one: str, many: str = "") -> str:
    """The word for so many things: `one` for 1, else `many`, or `one` with an "s"."""
    return one if number == 1 else many or f"{one}s"


def counted(number: int, one: str, many: str = "") -> str:
    """Such as "1 load" or "3 loads", "1 load enters" or "0 loads enter"."""
    return f"{number} {plural(number, one, many)}"


def in_runs(numbers: Sequence[int]) -> str:
    """Rising whole numbers, such as those of steps, in runs: "2, 5 to 9"."""
    parts: list[str] = []
    start = 0
    for index, number in enumerate(numbers):
        if index + 1 < len(numbers) and numbers[index + 1] == number + 1:
            continue
        first = numbers[start]
        parts.append(
            str(first)
            if first == number
            else f"{first}, {number}"
            if number == first + 1
            else f"{first} to {number}"
        )
        start = index + 1
    return ", ".join(parts)


def any_of(names: Sequence[str]) -> str:
    """Names of things any of which will do, in few words: "Plate 1 to 3", "Dip or Spray"."""
    if len(names) == 1:
        return names[0]
    ends = [re.fullmatch(r"(.*[^0-9])([1-9][0-9]{0,5}|0)", name) for name in names]
    stems = {end[1] for end in ends if end}
    if all(ends) and len(stems) == 1:
        numbers = sorted(int(end[2]) for end in ends if end)
        if numbers == list(range(numbers[0], numbers[0] + len(numbers))):
            between = "or" if len(numbers) == 2 else "to"
            return f"{stems.pop()}{numbers[0]} {between} {numbers[-1]}"
    if len(names) > 4:
        return f"{names[0]} or {len(names) - 1} others"
    return f"{', '.join(names[:-1])} or {names[-1]}"


def first_of(names: Sequence[str], most: int = 12) -> str:
    """Names with commas; of many the first ones, and how many more there are."""
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return f"{', '.join(names[:most])}{more}"


def nearest_or_known(name: str, known: Sequence[str], what: str = "") -> str:
    """The way out where a name is unknown: the nearest one, or the first of those known.

    Parameters
    ----------
    name : str
        As it was written; small letters and capitals count as alike.
    known : sequence of str
    what : str
        What is known, such as "stations".
    """
    folded = {each.casefold(): each for each in reversed(known)}
    near = get_close_matches(name.casefold(), folded, n=1)
    if near:
        return f'Did you mean "{folded[near[0]]}"?'
    return f"{f'Known {what}'.strip()}: {first_of(known)}."
