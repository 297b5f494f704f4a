"""A copy of the code that a run works from, so that edits meanwhile do not mix in."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path

from .methods import METHODS

ROOT = Path(__file__).parents[1]
COPIED = ("hoistopt", "benchmarks", "problems")
BYTECODE = ".bytecode"
"""Folder in a copy of the code, for the bytecode of all that its processes import."""


@contextmanager
def snapshot() -> Iterator[Path]:
    """A folder with the code as it is now; gone again afterwards."""
    with tempfile.TemporaryDirectory(prefix="hoistopt-code-") as folder:
        for name in COPIED:
            shutil.copytree(
                ROOT / name,
                Path(folder) / name,
                ignore=shutil.ignore_patterns("__pycache__", "results", "*.part"),
            )
        (Path(folder) / BYTECODE).mkdir()
        yield Path(folder)


def environment(root: Path) -> dict[str, str]:
    """For the processes of a run: in a copy of the code they keep the bytecode of what they import.

    As on a machine that has solved before, also where it is told to keep none: Numba imports
    much of itself, and of SciPy, within the first search.
    """
    if not (root / BYTECODE).is_dir():
        return dict(os.environ)
    kept = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "PYTHONPYCACHEPREFIX": str(root / BYTECODE)}


def compile_loops(root: Path) -> None:
    """Have the solver's loops compiled; kept beside the code, no run has to wait for them."""
    command = [sys.executable, "-m", "benchmarks.warm"]
    subprocess.run(command, cwd=root, env=environment(root), check=True)


def codes(root: Path) -> dict[str, str]:
    """For each method a short digest of the files it runs; it changes with any of them."""
    return {name: _digest(root, method.sources) for name, method in METHODS.items()}


def _digest(root: Path, sources: tuple[str, ...]) -> str:
    found = sha256()
    for source in sources:
        path = root / source
        for file in sorted(path.rglob("*.py")) if path.is_dir() else [path]:
            found.update(f"{file.relative_to(root)}\0".encode())
            found.update(file.read_bytes())
    return found.hexdigest()[:10]
