"""Read a table of designs: one row a design, one column a parameter, and the cost."""

from __future__ import annotations

from pathlib import Path

from ...base.cells import unguarded, without_notes
from ...base.errors import InputError
from ...base.separated import rows_of
from ...base.workbook.table_text import naming_sheet_cells, table_text
from .design import COST, MOST_DESIGNS, NAME
from .levels import Value, read_cost, read_value
from .parameter import read_name

SHEETS = ("Designs",)
"""The sheet of a workbook that holds designs."""


def read_designs(path: str | Path) -> list[dict[str, Value]]:
    """Designs from a CSV file.

    The header has a key of the problem file over each column; "cost" and "name" may head
    two more. An empty cell leaves the key as the problem file has it. Lines above the header
    that begin with ``#`` are left out.

    Raises
    ------
    InputError
        One error naming the file, the row and the value.
    """
    path = Path(path)
    with naming_sheet_cells(path, SHEETS):
        return _designs(table_text(path, SHEETS))


def _designs(text: str) -> list[dict[str, Value]]:
    rows = [row for _, row in rows_of(without_notes(text), ",", MOST_DESIGNS + 1, strict=True)]
    if len(rows) < 2:
        raise InputError(
            "a header and at least one design",
            way_out="Such as: parallel(Dryer),hoist.empty.speed,cost and below it 2,0.6,45000.",
        )
    header = [unguarded(cell.strip()) for cell in rows[0]]
    seen: set[str] = set()
    for name in header:
        if name in seen:
            raise InputError("each column once", field="header", value=name)
        seen.add(name)
        if name not in (COST, NAME):
            read_name(name)
    designs = []
    for number, row in enumerate(rows[1:], start=1):
        place = f"design {number}"
        if len(row) != len(header):
            raise InputError(f"{len(header)} cells, as in the header", field=place, value=len(row))
        designs.append(
            {
                name: _value(name, unguarded(cell.strip()), f"{place}, {name}")
                for name, cell in zip(header, row, strict=True)
                if cell.strip()
            }
        )
    return designs


def _value(name: str, cell: str, field: str) -> Value:
    if name == NAME:
        return cell
    return read_cost(cell, field) if name == COST else read_value(cell, field)
