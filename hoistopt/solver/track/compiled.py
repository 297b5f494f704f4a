"""Compile loops, and keep them compiled until a file they are made of changes."""

from __future__ import annotations

from pathlib import Path

from numba import njit

compiled = njit(nogil=True, cache=True)
"""Compiled at its first call on a machine, then kept beside the package."""


def forget_older(folder: Path) -> None:
    """Forget loops compiled before any file of a folder changed.

    Numba looks only at the file of each function, not at those it takes others from.
    """
    newest = max(file.stat().st_mtime for file in folder.glob("*.py"))
    for index in (folder / "__pycache__").glob("*.nbi"):
        try:
            if index.stat().st_mtime < newest:
                index.unlink()
        except OSError:
            pass  # not ours to change, or another process was quicker


forget_older(Path(__file__).parent)
