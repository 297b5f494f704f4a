"""CSV as every answer writes it."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def csv_text(header: list[str], rows: list[list[object]]) -> str:
    """Header and rows as CSV; None is an empty cell, text is kept from being a formula."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(header)
    writer.writerows([_cell(value) for value in row] for row in rows)
    return stream.getvalue()


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, Decimal):
        return f"{value:f}"
    text = str(value)
    # A spreadsheet would run such a text; the apostrophe makes it show it.
    protect = isinstance(value, str) and text.startswith(_FORMULA)
    return f"'{text}" if protect else text
