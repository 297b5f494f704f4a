"""A table of a notebook's output, put together column by column."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from xml.etree.ElementTree import Element

from ..report.markup import tag, user

Cell = str | int | Decimal | None


@dataclass(frozen=True)
class Column:
    """One column: its head, a cell for each row, and whether they are figures."""

    head: str
    cells: Sequence[Cell]
    number: bool = False

    @property
    def empty(self) -> bool:
        """Whether there is nothing to read in it."""
        return all(cell is None or cell == "" for cell in self.cells)


def table(title: str, columns: Sequence[Column]) -> Element:
    """The table; columns with nothing in them are left out."""
    kept = [column for column in columns if not column.empty]
    rows = zip(*(column.cells for column in kept), strict=True)
    return tag(
        "table",
        tag("caption", title),
        tag("thead", tag("tr", *(_head(column) for column in kept))),
        tag("tbody", *(tag("tr", *map(_cell, kept, row)) for row in rows)),
    )


def wide(content: Element) -> Element:
    """What may be wider than the notebook, so that it scrolls by itself."""
    return tag("div", content, class_="wide")


def _head(column: Column) -> Element:
    return tag("th", column.head, scope="col", class_="number" if column.number else "words")


def _cell(column: Column, cell: Cell) -> Element:
    text = "" if cell is None else f"{cell:f}" if isinstance(cell, Decimal) else str(cell)
    return tag("td", text, class_="number") if column.number else tag("td", user(text))
