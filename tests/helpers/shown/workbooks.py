"""Workbooks for tests: changed cell by cell, and looked at without the library that made them."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import openpyxl

_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


def changed(path: Path, change: Callable[[Any], None]) -> Path:
    """The workbook after a change, under the same name."""
    book = openpyxl.load_workbook(path)
    change(book)
    book.save(path)
    return path


def packed(parts: dict[str, bytes | str]) -> bytes:
    """A package of these parts."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as package:
        for name, data in parts.items():
            package.writestr(name, data)
    return stream.getvalue()


def parts_of(path: Path) -> dict[str, bytes]:
    """The parts of a package."""
    with zipfile.ZipFile(path) as package:
        return {name: package.read(name) for name in package.namelist()}


def raw_cells(path: Path) -> list[tuple[str, str]]:
    """Kind and content of every cell, from the XML alone: a second reader.

    The kinds are those of ECMA-376, part 1, 18.18.11: "n" a number, "s" and "inlineStr"
    text; "formula" where the cell has one.
    """
    found = []
    for name, data in parts_of(path).items():
        if not name.startswith("xl/worksheets/sheet"):
            continue
        for cell in ElementTree.fromstring(data).iter(f"{_MAIN}c"):
            kind = "formula" if cell.find(f"{_MAIN}f") is not None else cell.get("t", "n")
            content = "".join(text for text in cell.itertext())
            if content:
                found.append((kind, content))
    return found
