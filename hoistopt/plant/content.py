"""The text of a log file: unpacked within bounds, and decoded."""

from __future__ import annotations

import codecs
import gzip
import io
import zlib
from pathlib import Path

from ..base.errors import InputError
from ..base.files import read_at_most
from ..base.workbook.package import is_workbook
from ..base.workbook.sheet import MOST_ROWS
from ..base.workbook.table_text import table_text

MOST_BYTES = 600_000_000
"""Of a log, unpacked."""
SHEETS = ("Log",)
"""The sheet of a workbook that holds a log."""
GZIP = b"\x1f\x8b"
PARQUET = b"PAR1"


def content(path: Path) -> bytes:
    """The bytes of a log file, unpacked where it is packed with gzip (RFC 1952).

    Of a workbook the sheet ``Log``, or the only one, as CSV.

    Raises
    ------
    InputError
        When there is no such file, or it is no regular one, cannot be read, is damaged, or
        has more than `MOST_BYTES`, unpacked; no more than that is ever unpacked.
    """
    if is_workbook(path):
        return table_text(path, SHEETS, dates=True, most=MOST_ROWS).encode()
    found = read_at_most(path, MOST_BYTES)
    if found.startswith(GZIP):
        found = _unpacked(found, path)
    if len(found) > MOST_BYTES:
        raise _too_large(path)
    return found


def _unpacked(packed: bytes, path: Path) -> bytes:
    """As much of a gzip file as may be, and one byte more where there is more."""
    try:
        with gzip.GzipFile(fileobj=io.BytesIO(packed)) as stream:
            return stream.read(MOST_BYTES + 1)
    except (OSError, EOFError, zlib.error) as error:
        raise InputError(f"a whole gzip file ({error})", file=path) from None


def _too_large(path: Path) -> InputError:
    return InputError(
        f"a log of at most {MOST_BYTES // 1_000_000} MB, unpacked",
        file=path,
        way_out="Cut it into parts, such as years.",
    )


def decoded(found: bytes, path: Path) -> tuple[str, str]:
    """The text of a log, and how it was encoded.

    A mark at the beginning decides. Without one it is UTF-8 where every byte fits that,
    else UTF-16 where every other byte is zero in its beginning, else Windows-1252, of which
    printable Latin-1 is a part.

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
        raise InputError("a text file (CSV), or a Parquet file; this one holds zeros", file=path)
    return text.replace("\r\n", "\n").replace("\r", "\n")
