"""Text in the cells of a CSV file: none that a spreadsheet runs, and notes above the header."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence

# Spreadsheets run a text that begins with one of these. The wide forms count too: some
# take them for the narrow ones. The apostrophe is here so that every guard can be undone.
_RUN = re.compile(r"\s*[=+\-@\t\r\uff1d\uff0b\uff0d\uff20]|'")
# Where a spreadsheet goes by semicolons or tabs it sees no quotes around a cell, and what
# comes after one begins a cell of its own. A backslash only counts where it could be taken
# for one of our escapes.
_UNSAFE = re.compile(
    r"""[^\x20-\x7e]|;(?=[\s"']*[=+\-@\uff1d\uff0b\uff0d\uff20])|\\(?=u[0-9a-f]{4}|U[0-9a-f]{8})"""
)
_ESCAPE = re.compile(r"\\u([0-9a-f]{4})|\\U([0-9a-f]{8})")
NOTE = "#"


def guarded(text: str) -> str:
    """A text as a cell may hold it: on one line, and nothing in it that a spreadsheet runs.

    An apostrophe stands before what looks like a formula; it stands also before a text
    that begins with one, so that :func:`unguarded` gives every text back as it was. A
    separator that a formula follows, a line end or a sign that cannot be printed is
    written as its code, such as ``\\u003b``.
    """
    safe = _UNSAFE.sub(lambda found: _safe(found[0]), text)
    return f"'{safe}" if _RUN.match(text) else safe


def unguarded(cell: str) -> str:
    """Undo :func:`guarded`; a cell that it cannot have made stays as it is."""
    text = unescaped(cell.removeprefix("'"))
    return text if guarded(text) == cell else cell


def _safe(sign: str) -> str:
    return sign if sign.isprintable() and sign not in ";\\" else escaped(sign)


def escaped(sign: str) -> str:
    """One character as its code."""
    code = ord(sign)
    return f"\\u{code:04x}" if code <= 0xFFFF else f"\\U{code:08x}"


def unescaped(text: str) -> str:
    """Undo :func:`escaped`, wherever it was used in a text."""
    return _ESCAPE.sub(lambda found: chr(int(found[1] or found[2], 16)), text)


def note_lines(notes: Sequence[str]) -> str:
    """Notes for the head of a CSV file, a line each that begins with ``#``."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n", quoting=csv.QUOTE_ALL)
    writer.writerows([f"{NOTE} {note}"] for note in notes)
    return stream.getvalue()


def without_notes(text: str) -> str:
    """The text of a CSV file from its header on, lines kept, notes above it left empty.

    Spreadsheets may have put quotes around a note and empty cells after it.
    """
    lines = text.split("\n")
    for number, line in enumerate(lines):
        bare = line.strip(" \t\r,;\"'")
        if bare and not bare.startswith(NOTE):
            return "\n".join([""] * number + lines[number:])
    return ""
