"""The bytes of a log file, unpacked within bounds."""

from __future__ import annotations

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
"""Largest size of a log, unpacked."""
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
