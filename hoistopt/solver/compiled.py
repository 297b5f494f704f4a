"""Compile loops, and keep them compiled until a file they are made of changes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from numba import njit

_KEPT: dict[str, Any] = {"nogil": True, "cache": True}

compiled = njit(**_KEPT)
"""Compiled at its first call on a machine, then kept beside the package."""

_UNCOUNTED: dict[str, Any] = {"_nrt": False}

lean = njit(**_KEPT, **_UNCOUNTED)
"""The same for loops that make no arrays: references to those they get are not counted, which
takes about as long as the work itself, and longer where threads share them."""


_EIGHT = 8


@lean
def padded(count: int) -> int:
    """So many columns, and some to spare: processors go through whole eights at a time."""
    return -(-count // _EIGHT) * _EIGHT


def forget_older(folder: Path, *others: Path) -> None:
    """Forget loops compiled before any file of a folder, or another, changed.

    Numba looks only at the file of each function, not at those it takes others from.
    """
    files = [*folder.glob("*.py"), *others]
    newest = max(file.stat().st_mtime for file in files)
    for index in (folder / "__pycache__").glob("*.nbi"):
        try:
            if index.stat().st_mtime < newest:
                index.unlink()
        except OSError:
            pass  # not ours to change, or another process was quicker


for _folder in ("track", "annealing"):
    forget_older(Path(__file__).parent / _folder, Path(__file__))
