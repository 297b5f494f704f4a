"""Read problem files: TOML, with wide tables as CSV beside it."""

from __future__ import annotations

import csv
import tomllib
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from ..errors import InputError
from .problem import Problem

MOST_BYTES = 5_000_000


def load_problem(path: str | Path) -> Problem:
    """Read a problem file.

    Parameters
    ----------
    path : str or Path
        A TOML file; CSV tables it names are looked for beside it.

    Raises
    ------
    InputError
        One error naming the file, the field and the value.
    """
    path = Path(path)
    try:
        data = tomllib.loads(read_text(path), parse_float=Decimal)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise InputError(
            f"a TOML file ({error})",
            file=path,
            way_out="`hoistopt template` writes one to start from.",
        ) from None
    except InvalidOperation:
        raise InputError("numbers of ordinary size", file=path) from None
    except ValueError as error:  # an integer of thousands of digits
        raise InputError(f"numbers of ordinary size ({error})", file=path) from None
    try:
        _read_tables(data, path.parent)
        return Problem.from_data(data)
    except InputError as error:
        raise error.in_file(path) from None


def read_text(path: Path) -> str:
    """The text of a file, or one InputError saying why it cannot be had."""
    try:
        if path.stat().st_size > MOST_BYTES:
            raise InputError(f"a file of at most {MOST_BYTES // 1_000_000} MB", file=path)
        return path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise InputError(
            "a file, but there is none", file=path, way_out="Check the path."
        ) from None
    except UnicodeDecodeError:
        raise InputError("a text file in UTF-8", file=path) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(f"a readable file ({reason})", file=path) from None


def _read_tables(data: dict[str, Any], folder: Path) -> None:
    """Replace the file names under [times] by the entries in those files."""
    times = data.get("times")
    if not isinstance(times, dict):
        return
    for key in ("loaded", "empty"):
        name = times.pop(f"{key}_file", None)
        if name is None:
            continue
        if not isinstance(name, str):
            raise InputError("a file name in quotes", field=f"times, {key}_file", value=name)
        entries = times.get(key, [])
        if not isinstance(entries, list):
            continue
        given = {(e.get("from"), e.get("to")) for e in entries if isinstance(e, dict)}
        read = read_matrix(folder / name)
        times[key] = [e for e in read if (e["from"], e["to"]) not in given] + entries


def read_matrix(path: Path) -> list[dict[str, Any]]:
    """Read a CSV matrix of times: header row of targets, first column of sources.

    Empty cells have no entry.
    """
    try:
        rows = [row for row in csv.reader(read_text(path).splitlines()) if any(row)]
    except csv.Error as error:
        raise InputError(f"a CSV file ({error})", file=path) from None
    if len(rows) < 2 or len(rows[0]) < 2:
        raise InputError(
            "a header row of stations and at least one row of times",
            file=path,
            way_out="First column: from; header row: to.",
        )
    targets = [cell.strip() for cell in rows[0][1:]]
    entries: list[dict[str, Any]] = []
    for number, row in enumerate(rows[1:], start=2):
        if len(row) != len(rows[0]):
            raise InputError(
                f"{len(rows[0])} cells, as in the header",
                file=path,
                field=f"row {number}",
                value=f"{len(row)} cells",
            )
        source = row[0].strip()
        for target, cell in zip(targets, row[1:], strict=True):
            if cell.strip():
                entries.append(
                    {"from": source, "to": target, "time": _cell(cell, path, number, target)}
                )
    return entries


def _cell(text: str, path: Path, row: int, column: str) -> Decimal:
    try:
        return Decimal(text.strip())
    except InvalidOperation:
        raise InputError(
            "a number",
            file=path,
            field=f'row {row}, column "{column}"',
            value=text.strip(),
            way_out="Use a point for decimals and leave the cell empty where there is no time.",
        ) from None
