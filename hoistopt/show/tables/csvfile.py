"""CSV as every answer writes it: cautions, a header, rows; no cell that a spreadsheet runs."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from decimal import Decimal

from ...base.cells import guarded, note_lines


def csv_text(
    header: Sequence[str],
    rows: Sequence[Sequence[object]],
    cautions: Sequence[str] = (),
    notes: Sequence[str] = (),
) -> str:
    """Header and rows as CSV, below a line that begins with ``#`` for each caution.

    Notes, such as what the problem file says of its line, stand below the cautions; empty
    ones are left out. None is an empty cell; text is kept from being a formula.
    """
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(map(guarded, header))
    writer.writerows([_cell(value) for value in row] for row in rows)
    head = [f"CAUTION. {text}" for text in cautions]
    head += [f"NOTE. {' '.join(text.split())}" for text in notes if text.strip()]
    return note_lines(head) + stream.getvalue()


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, Decimal):
        return f"{value:f}"
    return guarded(value) if isinstance(value, str) else str(value)
