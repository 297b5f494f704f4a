"""Write whole files or nothing, several of them all or none."""

from __future__ import annotations

import hashlib
import os
import secrets
import shutil
import stat
import time
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

from .errors import InputError

ABANDONED = 60.0
"""Seconds. A part of a file that is older belongs to a process that was killed: from a part to
the whole file takes far less."""


def read_at_most(path: Path, most: int) -> bytes:
    """The content of a regular file, of a larger one so many bytes and one more.

    Raises
    ------
    InputError
        When there is no such file, or it is no regular one, or cannot be read.
    """
    try:
        # Before it is opened: a pipe that nobody writes to would be waited for.
        if not stat.S_ISREG(path.stat().st_mode):
            raise InputError(
                "a file on disk, not a directory, pipe or device",
                file=path,
                way_out="Save it in a file first.",
            )
        with path.open("rb") as stream:
            return stream.read(most + 1)
    except (OSError, ValueError) as error:
        raise unreadable(path, error) from None


def unreadable(path: Path, error: Exception) -> InputError:
    """What to say of a file that could not be read."""
    if isinstance(error, FileNotFoundError):
        return InputError("a file, but there is none", file=path, way_out="Check the path.")
    reason = getattr(error, "strerror", None) or str(error)
    return InputError(f"a readable file ({reason})", file=path)


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
        if folder_needed and not _takes_files(target):
            raise InputError(
                f"a file in a folder that can be written to; {target.parent} cannot",
                file=path,
                way_out="Choose another folder.",
            )
        if target.exists() and not os.access(target, os.W_OK):
            raise InputError("a file that may be overwritten", file=path)
    except (OSError, ValueError) as error:
        raise _unwritable(path, error) from None
    return target


def _takes_files(target: Path) -> bool:
    """Whether the folder of a file takes a new one, by making one and removing it.

    Asked alone, a folder such as /proc tells an administrator that it does.

    Raises
    ------
    OSError
        When something else is in the way, such as a disk that is full.
    """
    if not os.access(target.parent, os.W_OK | os.X_OK):
        return False
    trial = _beside(target, "part")
    try:
        os.close(os.open(trial, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
        trial.unlink()
    except (FileNotFoundError, PermissionError):
        return False
    return True


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
    with written_together([(path, data)]):
        pass


@contextmanager
def written_together(files: Iterable[tuple[str | Path, str | bytes]]) -> Iterator[None]:
    """Write several files, all of them or none.

    Every temporary file is written before the first takes its name. Should a name fail to
    be taken, or the block under ``with`` fail, the files that stood there before come
    back and new ones go. Devices and pipes are written directly, after the files. Parts of
    the same files that a killed process left behind are removed.

    Raises
    ------
    InputError
        When a file cannot be written; nothing is left behind then.
    """
    with ExitStack() as undo:
        waiting: list[tuple[str | Path, Path, Path]] = []
        direct: list[tuple[str | Path, Path, bytes]] = []
        for path, data in files:
            content = data.encode("utf-8") if isinstance(data, str) else data
            target = check_target(path)
            if target.exists() and not target.is_file():
                direct.append((path, target, content))
                continue
            _remove_abandoned(target)
            temporary = _beside(target, "part")
            undo.callback(_gone, temporary)
            with _naming(path):
                _fill(temporary, content, like=target)
            waiting.append((path, temporary, target))
        with ExitStack() as restore:
            for path, temporary, target in waiting:
                with _naming(path):
                    _take_name(temporary, target, undo, restore)
            for path, target, content in direct:
                with _naming(path):
                    target.write_bytes(content)
            yield
            restore.pop_all()  # all is well: what stood there before need not come back


def _beside(target: Path, kind: str) -> Path:
    return target.with_name(f"{_mark(target)}{secrets.token_hex(6)}.{kind}")


def _mark(target: Path) -> str:
    """How the names of a file's parts begin: of one length, however long its own name is."""
    return f".{hashlib.sha256(os.fsencode(target.name)).hexdigest()[:12]}-"


def _remove_abandoned(target: Path) -> None:
    """Remove parts of a file that nobody will finish."""
    for kind in ("part", "before"):
        for left in target.parent.glob(f"{_mark(target)}*.{kind}"):
            with suppress(OSError):
                found = left.stat()
                # A link has the time of what it links to; its inode changed with the link.
                if time.time() - max(found.st_mtime, found.st_ctime) > ABANDONED:
                    left.unlink()


def _fill(temporary: Path, content: bytes, like: Path) -> None:
    # Not tempfile: it makes private files, and the result should follow the umask.
    descriptor = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
    with open(descriptor, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    with suppress(FileNotFoundError):
        os.chmod(temporary, stat.S_IMODE(like.stat().st_mode))


def _take_name(temporary: Path, target: Path, undo: ExitStack, restore: ExitStack) -> None:
    """Give the temporary file its name; what stood there is kept until all is well."""
    if target.exists():
        before = _beside(target, "before")
        undo.callback(_gone, before)
        try:
            os.link(target, before)
        except OSError:  # a file system without links
            shutil.copy2(target, before)
        os.replace(temporary, target)
        restore.callback(os.replace, before, target)
    else:
        os.replace(temporary, target)
        restore.callback(_gone, target)


def _gone(path: Path) -> None:
    with suppress(OSError):
        path.unlink()


@contextmanager
def _naming(path: str | Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise _unwritable(path, error) from None


def _unwritable(path: str | Path, error: Exception) -> InputError:
    reason = getattr(error, "strerror", None) or str(error)
    return InputError(f"a file that can be written ({reason})", file=path)
