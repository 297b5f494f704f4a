"""Whether a file is a workbook that is safe to open: its size, what is in it, what must not be."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

from ..errors import InputError
from ..files import read_at_most

EXTRA, PURPOSE = "workbook", "to read and write workbooks"
"""Of the library openpyxl."""
ENDING = ".xlsx"
OTHERS = (".xlsm", ".xls", ".xlsb", ".xltx", ".xltm", ".ods", ".fods", ".numbers")
"""Endings of other workbooks, which are refused."""
MOST_PACKED = 20_000_000
MOST_UNPACKED = 60_000_000
"""Bytes of a workbook, as a file and unpacked; a table of 180,000 times unpacks to 44 million."""
MOST_PART = 4_000_000
"""Bytes of any part that is no sheet and no list of texts, unpacked."""
MOST_PARTS = 2_000
_ENCRYPTED = b"\xd0\xcf\x11\xe0"
_LARGE = ("xl/worksheets/", "xl/sharedstrings")
# In two encodings: a declaration of entities has no place in a workbook and can fill a memory.
_DECLARED = (b"<!DOCTYPE", "<!DOCTYPE".encode("utf-16-le"), "<!DOCTYPE".encode("utf-16-be"))
_PIECE = 65_536
SAVE_AS = "Save it as an Excel workbook (.xlsx), without a password and without macros."


def is_workbook(path: str | Path) -> bool:
    """Whether a name ends like that of a workbook, of this kind or of another."""
    return Path(path).suffix.lower() in (ENDING, *OTHERS)


def package_bytes(path: Path) -> bytes:
    """The bytes of a workbook that may be opened.

    Parameters
    ----------
    path : Path
        The file; no pipe or device.

    Raises
    ------
    InputError
        When there is no such file, it is no ``.xlsx`` workbook, encrypted or broken, has
        macros, or unpacks to more than a line needs.
    """
    if path.suffix.lower() != ENDING:
        raise InputError(f"a workbook ending in {ENDING}", file=path, way_out=SAVE_AS)
    content = _content(path)
    if content.startswith(_ENCRYPTED):
        raise InputError(
            "a workbook without a password, in the format of .xlsx", file=path, way_out=SAVE_AS
        )
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as package:
            _check(package, path)
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError) as error:
        raise broken(path, error) from None
    except Exception as error:
        if isinstance(error, InputError):
            raise
        raise broken(path, error) from None  # zlib.error and its like of other compressions
    return content


def broken(path: Path, error: Exception) -> InputError:
    """The error about a file that cannot be read as a workbook."""
    reason = " ".join(str(error).split()) or type(error).__name__
    return InputError(f"a workbook that can be read ({reason})", file=path, way_out=SAVE_AS)


def _content(path: Path) -> bytes:
    content = read_at_most(path, MOST_PACKED)
    if len(content) > MOST_PACKED:
        raise InputError(f"a workbook of at most {MOST_PACKED // 1_000_000} MB", file=path)
    return content


def _check(package: zipfile.ZipFile, path: Path) -> None:
    """Sizes first, as the package states them: no more than that is ever unpacked."""
    parts = package.infolist()
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > MOST_UNPACKED:
        raise _too_large(path)
    for part in parts:
        name = part.filename.lower()
        if part.flag_bits & 1:
            raise InputError("a workbook without a password", file=path, way_out=SAVE_AS)
        if "vbaproject" in name or "xlmacro" in name or "macrosheets" in name:
            raise InputError("a workbook without macros", file=path, way_out=SAVE_AS)
        if part.file_size > MOST_PART and not name.startswith(_LARGE):
            raise _too_large(path)
        if _declares(package, part):
            raise InputError(
                "a workbook without declarations of entities", file=path, way_out=SAVE_AS
            )


def _declares(package: zipfile.ZipFile, part: zipfile.ZipInfo) -> bool:
    """Whether a part declares entities.

    It is read bit by bit, to its end, where its size and check sum are compared with those
    stated: at once it would be unpacked whole, however large it is.
    """
    before, found = b"", False
    with package.open(part) as stream:
        while piece := stream.read(_PIECE):
            found = found or any(mark in before + piece for mark in _DECLARED)
            before = piece[-40:]
    return found


def _too_large(path: Path) -> InputError:
    return InputError(
        f"a workbook that unpacks to at most {MOST_UNPACKED // 1_000_000} MB",
        file=path,
        way_out="Keep in it what belongs to the line, and no more.",
    )
