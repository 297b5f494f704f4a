"""The sheet as PDF: the laid-out lines set on A4."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

from ..drawing.axes import new_figure
from ..drawing.look import own_look
from ..drawing.palette import LANE, RULE, TEXT
from .data import Sheet
from .layout import MARGIN, PAGE, laid_out
from .parts import COLUMN_GAP, GAP, LEADING, ROW_PAD, Column, Page, Row, SideBySide, Table, Text

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_ASCENT = 0.95
"""From the top of a line to its baseline, in sizes of the type."""


def sheet_pdf(*sheets: Sheet) -> bytes:
    """The bytes of a PDF file; the same sheets give the same bytes.

    Parameters
    ----------
    *sheets : Sheet
        One, or one for each of several hoists.
    """
    sheet = sheets[0]
    from matplotlib.backends.backend_pdf import PdfPages

    names = [sheet.line, sheet.note, *(name for _, name in (*sheet.stations, *sheet.recipes))]
    names += [one.hoist for one in sheets]
    stream = io.BytesIO()
    metadata = {"CreationDate": None, "Creator": "hoistopt", "Producer": None, "Title": sheet.line}
    with own_look(names), PdfPages(stream, metadata=metadata) as pages:
        for page in laid_out(*sheets):
            pages.savefig(_drawn(page))
    return stream.getvalue()


class _Pen:
    """Sets lines on one page; lengths in points from its upper left corner."""

    def __init__(self, figure: Figure) -> None:
        self.figure = figure

    def text(
        self, text: str, x: float, y: float, size: float, bold: bool = False, right: bool = False
    ) -> None:
        """One line whose upper edge is at y."""
        self.figure.text(
            x / PAGE[0], 1 - (y + _ASCENT * size) / PAGE[1], text, fontsize=size, color=TEXT,
            weight="bold" if bold else "normal", ha="right" if right else "left", va="baseline",
            parse_math=False,
        )  # fmt: skip

    def band(self, x: float, y: float, wide: float, high: float, colour: str) -> None:
        """A filled area without outline."""
        from matplotlib.patches import Rectangle

        corner, size = (x / PAGE[0], 1 - (y + high) / PAGE[1]), (wide / PAGE[0], high / PAGE[1])
        area = Rectangle(corner, *size, facecolor=colour, edgecolor="none", zorder=-1)
        self.figure.add_artist(area)


def _drawn(page: Page) -> Figure:
    figure = new_figure(PAGE[0] / 72, PAGE[1] / 72)
    pen, y = _Pen(figure), MARGIN
    for block in page.blocks:
        if isinstance(block, Text):
            _lines(pen, block, y)
        else:
            _beside(pen, block, y)
        y += block.height
    y = PAGE[1] - MARGIN - sum(part.height for part in page.foot)
    for part in page.foot:
        _lines(pen, part, y)
        y += part.height
    size = 7.0
    number = f"{page.number}/{page.total}"
    pen.text(number, PAGE[0] - MARGIN, PAGE[1] - MARGIN - size, size, bold=True, right=True)
    return figure


def _lines(pen: _Pen, block: Text, y: float) -> None:
    for number, line in enumerate(block.lines):
        pen.text(line, MARGIN, y + number * block.size * LEADING, block.size, block.bold)


def _beside(pen: _Pen, block: SideBySide, y: float) -> None:
    x = MARGIN
    for table in block.tables:
        _table(pen, table, x, y)
        x += table.width + GAP


def _table(pen: _Pen, table: Table, x: float, y: float) -> None:
    for number, row in enumerate((table.head, *table.rows)):
        high = row.height(table.size)
        if number % 2 == 0:
            pen.band(x, y, table.width, high, RULE if number == 0 else LANE[1])
        _row(pen, row, table.columns, table.size, x, y)
        y += high


def _row(pen: _Pen, row: Row, columns: tuple[Column, ...], size: float, x: float, y: float) -> None:
    for at, (cell, column) in enumerate(zip(row.cells, columns, strict=True)):
        edge = x + column.width - COLUMN_GAP / 2 if column.figures else x + COLUMN_GAP / 2
        for number, line in enumerate(cell):
            top = y + ROW_PAD / 2 + number * size * LEADING
            pen.text(line, edge, top, size, at in row.strong, right=column.figures)
        x += column.width
