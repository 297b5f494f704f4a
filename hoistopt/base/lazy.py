"""Public names that are listed once, in a stub file, and loaded when they are first used.

Editors and type checkers read ``__init__.pyi`` beside a package's ``__init__.py``. Read
here too, it is the one list from which ``__all__``, ``dir()`` and the names themselves
come, and importing the package imports none of the modules behind them.
"""

from __future__ import annotations

import ast
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import Any


def names_of_stub(
    package: str, stub: Path, place: dict[str, Any]
) -> tuple[Callable[[str], Any], Callable[[], list[str]], list[str]]:
    """What a package needs to offer the names of its stub file.

    Parameters
    ----------
    package : str
        The package's ``__name__``.
    stub : Path
        Its stub; read for lines such as ``from .planning import solve as solve``.
    place : dict
        The package's ``globals()``, where a name is kept once it has been loaded.

    Returns
    -------
    getattr, dir : callable
        The package's ``__getattr__`` and ``__dir__`` (PEP 562).
    all : list of str
        The names in order, for ``__all__``.
    """
    homes = _homes(stub.read_text(encoding="utf-8"))

    def load(name: str) -> Any:
        if name not in homes:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        value = place[name] = getattr(import_module(f".{homes[name]}", package), name)
        return value

    def listed() -> list[str]:
        return sorted({*place, *homes})

    return load, listed, sorted(homes)


def _homes(text: str) -> dict[str, str]:
    """The module, relative to the package, from which a stub takes each name."""
    return {
        alias.name: statement.module
        for statement in ast.parse(text).body
        if isinstance(statement, ast.ImportFrom) and statement.level == 1 and statement.module
        for alias in statement.names
    }
