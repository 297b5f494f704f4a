"""Parts of a laid-out page: text and tables of which every line and every height is known.

Lengths are in points. Whoever writes a page breaks no line by itself: what was measured is
what is printed.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

from .metrics import broken, width

LEADING = 1.22
"""From one line to the next, in sizes of the type."""
ROW_PAD = 1.6
"""Free height above and below the lines of a row, together."""
COLUMN_GAP = 5.0
GAP, AFTER = 14.0, 6.0
"""Between two tables beside each other, and under them."""

Role = Literal["title", "kind", "note", "facts", "caution", "reading", "stations", "head"]


@dataclass(frozen=True)
class Text:
    """A paragraph; `role` says what it is to the page."""

    lines: tuple[str, ...]
    size: float
    role: Role
    bold: bool = False
    after: float = 3.0

    @property
    def height(self) -> float:
        """With the free height after it."""
        return len(self.lines) * self.size * LEADING + self.after


@dataclass(frozen=True)
class Column:
    """A column of a table; figures stand to the right."""

    title: tuple[str, ...]
    width: float
    figures: bool


@dataclass(frozen=True)
class Row:
    """The lines of every cell of a row; `strong` are the cells that stand out."""

    cells: tuple[tuple[str, ...], ...]
    strong: frozenset[int] = frozenset()

    def height(self, size: float) -> float:
        """Of the tallest cell, with the free height around it."""
        return max(len(cell) for cell in self.cells) * size * LEADING + ROW_PAD


@dataclass(frozen=True)
class Table:
    """A table of rows whose lines are broken already."""

    name: Literal["steps", "alarms"]
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    size: float

    @property
    def head(self) -> Row:
        """The row of column titles."""
        every = frozenset(range(len(self.columns)))
        return Row(tuple(column.title for column in self.columns), every)

    @property
    def width(self) -> float:
        """Width of all columns together, in points."""
        return sum(column.width for column in self.columns)

    @property
    def height(self) -> float:
        """Height of titles and rows together, in points."""
        return sum(row.height(self.size) for row in (self.head, *self.rows))


@dataclass(frozen=True)
class SideBySide:
    """One table, or two beside each other to be read one after the other."""

    tables: tuple[Table, ...]

    @property
    def height(self) -> float:
        """Of the taller one, with the free height after it."""
        return max(table.height for table in self.tables) + AFTER


Block = Text | SideBySide


@dataclass(frozen=True)
class Page:
    """What stands on one side of paper, from the top and at the foot; `number` of `total`."""

    blocks: tuple[Block, ...]
    foot: tuple[Text, ...]
    number: int
    total: int


def paragraph(
    text: str, room: float, size: float, role: Role, bold: bool = False, after: float = 3.0
) -> Text:
    """Text broken into lines that fit the room."""
    return Text(tuple(broken(text, room, size, bold)), size, role, bold, after)


def column_widths(
    columns: Sequence[tuple[tuple[str, ...], Sequence[str]]],
    broken_up: Collection[int],
    figures: Collection[int],
    room: float,
    size: float,
) -> tuple[Column, ...]:
    """Columns that fill the room: some as wide as their cells, the others share what is left.

    Parameters
    ----------
    columns : sequence of (title, cells)
    broken_up : collection of int
        Columns whose cells may be broken into several lines.
    figures : collection of int
        Columns whose cells stand to the right.
    room : float
        For all of them, gaps included.
    """
    natural = [
        max(width(text, size, bold=True) for text in (*title, *cells)) + COLUMN_GAP
        for title, cells in columns
    ]
    left = room - sum(wide for at, wide in enumerate(natural) if at not in broken_up)
    wanted = sum(natural[at] for at in broken_up)
    return tuple(
        Column(title, wide * left / wanted if at in broken_up else wide, at in figures)
        for at, ((title, _), wide) in enumerate(zip(columns, natural, strict=True))
    )
