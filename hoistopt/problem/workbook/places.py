"""Errors about the values of a workbook name the cell they stand in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from itertools import product
from pathlib import Path
from typing import Any

from ...base.errors import InputError
from ...base.text import any_of
from .reading import Found


@contextmanager
def naming_cells(path: Path, found: Found) -> Iterator[None]:
    """Let an error about a value of the data name the file and the cell."""
    try:
        yield
    except InputError as error:
        if error.field is not None and error.file is None:
            place = _place(error.field, found)
            error.field = f"{place} ({error.field})" if place else error.field
        raise error.in_file(path) from None


def _place(field: str, found: Found) -> str | None:
    """The cell, else the row or sheet, of what an error calls `field`."""
    best, length = None, 0
    for path, place in found.places.items():
        for name in _names(path, found.data):
            whole = field == name or field.startswith((f"{name},", f"{name} "))
            if whole and len(name) > length:
                best, length = place, len(name)
    return best


def _names(path: tuple[int | str, ...], data: Any) -> list[str]:
    """What errors may call the value at a path of the data."""
    parts: list[list[str]] = []
    here: Any = data
    for step in path:
        here = here[step]
        if isinstance(step, int):
            (key,) = parts.pop()
            numbered, label = f"{key} {step + 1}", _label(here)
            found = [numbered]
            if label:
                found += [f'{numbered} ("{label}")', f'{key} "{label}"']
            parts.append(found)
        else:
            parts.append([step])
    return [", ".join(names) for names in product(*parts)]


def _label(entry: Any) -> str:
    """What an entry of a list is called: its name, or that of a stage's stations."""
    if not isinstance(entry, Mapping):
        return ""
    stations = entry.get("station")
    if entry.get("name") or not isinstance(stations, list) or not stations:
        return str(entry.get("name", ""))
    return any_of([str(name) for name in stations])
