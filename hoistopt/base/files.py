"""Write whole files or nothing."""

from __future__ import annotations

import os
import secrets
import stat
from contextlib import suppress
from pathlib import Path

from .errors import InputError


def check_target(path: str | Path) -> Path:
    """The real path behind `path`, if a file could be written there.

    Ask before a long computation, so that its result is not lost for a mistyped folder.

    Raises
    ------
    InputError
        When the folder is missing, or folder or file may not be written.
    """
    try:
        # A link is followed, so that replacing the file does not replace the link.
        target = Path(os.path.realpath(path))
        if target.is_dir():
            raise InputError(
                "the name of a file, but this is a folder",
                file=path,
                way_out="Add a file name to it.",
            )
        if not target.parent.is_dir():
            raise InputError(
                f"a file in a folder that exists; {target.parent} does not",
                file=path,
                way_out="Create the folder or check the path.",
            )
        folder_needed = not target.exists() or target.is_file()
        if folder_needed and not os.access(target.parent, os.W_OK | os.X_OK):
            raise InputError("a folder that may be written to", file=path)
        if target.exists() and not os.access(target, os.W_OK):
            raise InputError("a file that may be overwritten", file=path)
    except (OSError, ValueError) as error:
        raise _unwritable(path, error) from None
    return target


def write_atomically(path: str | Path, data: str | bytes) -> None:
    """Write a file so that no reader ever sees half of it.

    The data go to a temporary file in the same folder, which then takes the name.
    Text is written as UTF-8 with its line ends as they are. An existing file keeps its
    permissions; a device or pipe, such as ``/dev/stdout``, is written directly.

    Raises
    ------
    InputError
        When the file cannot be written; nothing is left behind then.
    """
    content = data.encode("utf-8") if isinstance(data, str) else data
    target = check_target(path)
    try:
        if target.exists() and not target.is_file():
            target.write_bytes(content)
            return
        _replace(target, content)
    except OSError as error:
        raise _unwritable(path, error) from None


def _replace(target: Path, content: bytes) -> None:
    temporary = target.with_name(f".{secrets.token_hex(8)}.part")
    # Not tempfile: it makes private files, and the result should follow the umask.
    descriptor = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
    try:
        with open(descriptor, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        with suppress(FileNotFoundError):
            os.chmod(temporary, stat.S_IMODE(target.stat().st_mode))
        os.replace(temporary, target)
    except BaseException:
        with suppress(OSError):
            os.unlink(temporary)
        raise


def _unwritable(path: str | Path, error: Exception) -> InputError:
    reason = getattr(error, "strerror", None) or str(error)
    return InputError(f"a file that can be written ({reason})", file=path)
