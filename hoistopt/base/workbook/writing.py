"""Write sheets as a workbook: numbers as numbers, text as text, made for people to fill in."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from ..errors import InputError
from ..extras import library
from ..numbers.decimals import short_decimal
from ..text import STANDING, clean
from .package import EXTRA, PURPOSE
from .reading import SHOWN_DIGITS
from .sheet import MOST_TEXT, Column, Sheet

_NARROW, _WIDE = 8, 60
_HEAD_COLOUR = "E4E9F0"
# What a spreadsheet takes for the code of a character, such as _x0041_ for A.
_CODE = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")


def workbook_bytes(sheets: Sequence[Sheet], title: str) -> bytes:
    """The file of a workbook.

    The header of each sheet stays in view, each column is as wide as what stands in it, and
    the caution stands at the foot of every printed page. A number that no cell can hold
    exactly is written as text; text is never a formula.

    Parameters
    ----------
    sheets : sequence of Sheet
        At least one; the first is in front when the file is opened.
    title : str
        Of the document.

    Raises
    ------
    InputError
        When the library is missing, or a text is too long for a cell.
    """
    book = library("openpyxl", EXTRA, PURPOSE).Workbook()
    book.remove(book.active)
    book.properties.title, book.properties.creator = clean(title), "hoistopt"
    for sheet in sheets:
        _write(book.create_sheet(sheet.name), sheet)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def _write(paper: Any, sheet: Sheet) -> None:
    top = len(sheet.marks) + 1
    for number, mark in enumerate(sheet.marks, start=1):
        _fill(paper.cell(number, 1), mark)
    for place, column in enumerate(sheet.columns, start=1):
        _head(paper.cell(top, place), column)
        cells = [row[place - 1] for row in sheet.rows]
        form = _number_format(cells)
        for number, value in enumerate(cells, start=top + 1):
            _fill(paper.cell(number, place), value, form)
        letter = paper.cell(top, place).column_letter
        paper.column_dimensions[letter].width = column.width or _width(column.head, cells)
        last = top + len(cells) + sheet.spare
        if column.choices and last > top:
            _offer(paper, f"{letter}{top + 1}:{letter}{last}", column)
    for number, choices in sheet.offers.items():
        cell = paper.cell(top + 1 + number, sheet.offered_in + 1)
        _offer(paper, cell.coordinate, Column(cell.coordinate, choices=choices))
    paper.freeze_panes = paper.cell(top + 1, 2 if len(sheet.columns) > 4 else 1)
    paper.oddFooter.center.text = f"&8{STANDING.replace('&', '&&')}"
    paper.oddFooter.right.text = "&8&A, &P of &N"
    paper.page_setup.orientation, paper.page_setup.fitToHeight = "landscape", 0
    paper.sheet_properties.pageSetUpPr.fitToPage = True
    paper.print_title_rows = f"{top}:{top}"


def _head(cell: Any, column: Column) -> None:
    from openpyxl.comments import Comment
    from openpyxl.styles import Alignment, Font, PatternFill

    _fill(cell, column.head)
    cell.font = Font(bold=True)
    cell.fill = PatternFill("solid", start_color=_HEAD_COLOUR)
    cell.alignment = Alignment(wrap_text=True, vertical="top")
    if column.note:
        note = Comment(clean(column.note), "hoistopt")
        note.width, note.height = 320, 60 + 18 * (len(column.note) // 45)
        cell.comment = note


def _fill(cell: Any, value: object, form: str = "General") -> None:
    """Put a value into a cell; text is marked as such, so that editing makes no formula of it."""
    from openpyxl.styles import Alignment

    number = _number(value)
    if value is None:
        return
    if isinstance(value, bool):
        cell.value = "yes" if value else "no"
    elif number is not None:
        cell.value, cell.number_format = number, form
    else:
        text = f"{value:f}" if isinstance(value, Decimal) else clean(str(value))
        if len(text) > MOST_TEXT:
            raise InputError(
                f"a text of at most {MOST_TEXT} characters, as a cell of a workbook holds no more",
                field=f"{cell.parent.title}!{cell.coordinate}",
                value=text,
            )
        cell.value = _CODE.sub("_x005F_", text)
        cell.data_type, cell.quotePrefix = "s", True
        if "\n" in text or len(text) > _WIDE:
            cell.alignment = Alignment(wrap_text=True, vertical="top")


def _number(value: object) -> int | float | None:
    """What a cell holds for a number; None for what is none, or what no cell holds exactly."""
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal | Fraction):
        return None
    if isinstance(value, Fraction):
        short = short_decimal(value)
        if short is None:
            return float(value)  # a measured figure with no short decimal
        value = short
    if isinstance(value, float):
        return value
    held = float(value)
    # A number of more digits than a spreadsheet shows is no longer the same.
    if Decimal(f"{held:.{SHOWN_DIGITS}g}") != value:
        return None
    return int(value) if value == int(value) else held


def _number_format(cells: Sequence[object]) -> str:
    """One format for a column, with as many decimals as its longest decimal number has."""
    decimals = [-int(c.normalize().as_tuple().exponent) for c in cells if isinstance(c, Decimal)]
    most = max(decimals, default=0)
    return "0." + "0" * most if most > 0 else "General"


def _width(head: str, cells: Sequence[object]) -> int:
    longest = max((len(line) for cell in cells for line in _shown(cell).split("\n")), default=0)
    words = max((len(word) for word in head.split()), default=0)
    return min(max(_NARROW, longest, words, min(len(head), 14)), _WIDE) + 2


def _shown(cell: object) -> str:
    if cell is None:
        return ""
    return f"{float(cell):.9g}" if isinstance(cell, float | Fraction) else str(cell)


def _offer(paper: Any, cells: str, column: Column) -> None:
    """Let the spreadsheet offer what may stand in these cells."""
    from openpyxl.worksheet.datavalidation import DataValidation

    choices = column.choices
    offer = DataValidation(
        type="list",
        formula1=choices if isinstance(choices, str) else f'"{",".join(choices)}"',
        allow_blank=True,
        errorStyle="stop" if column.strict else "information",
        error=f"Take one of the list for {column.head}.",
        showErrorMessage=True,
    )
    paper.add_data_validation(offer)
    offer.add(cells)
