"""Tables as spreadsheets and controllers save them: in which encoding the text is."""

from __future__ import annotations

import codecs
from pathlib import Path

from .errors import InputError


def decoded(found: bytes, path: Path) -> tuple[str, str]:
    r"""The text of a table or a log, and how it was encoded.

    A mark at the beginning decides. Without one it is UTF-8 where every byte fits that,
    else UTF-16 where every other byte is zero in its beginning, else Windows-1252, of which
    printable Latin-1 is a part.

    Parameters
    ----------
    found : bytes
        What the file holds.
    path : Path
        The file, for an error.

    Returns
    -------
    str
        The text, its lines ended by ``\n``.
    str
        The encoding, as Python calls it.

    Raises
    ------
    InputError
        When it is no text.
    """
    for mark, encoding in (
        (codecs.BOM_UTF8, "utf-8-sig"),
        (codecs.BOM_UTF16_LE, "utf-16"),
        (codecs.BOM_UTF16_BE, "utf-16"),
    ):
        if found.startswith(mark):
            return _as(found, encoding, path), encoding
    beginning = found[:2000]
    if b"\0" in beginning:
        half = len(beginning) // 2
        if beginning[1::2].count(0) > 0.8 * half:
            return _as(found, "utf-16-le", path), "utf-16-le"
        if beginning[0::2].count(0) > 0.8 * half:
            return _as(found, "utf-16-be", path), "utf-16-be"
    try:
        return _text(found.decode("utf-8"), path), "utf-8"
    except UnicodeDecodeError:
        return _text(found.decode("cp1252", errors="replace"), path), "cp1252"


def _as(found: bytes, encoding: str, path: Path) -> str:
    try:
        return _text(found.decode(encoding), path)
    except UnicodeDecodeError as error:
        raise InputError(
            f"text in {encoding}, as the file begins ({error.reason} at byte {error.start})",
            file=path,
        ) from None


def _text(text: str, path: Path) -> str:
    if "\0" in text:
        raise InputError("a text file (CSV); this one holds zeros", file=path)
    return text.replace("\r\n", "\n").replace("\r", "\n")
