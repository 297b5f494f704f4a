"""Equal rows of a table found by hashing, as states of one key are."""

from __future__ import annotations

import numpy as np

from ....compiled import compiled
from ..times.span import Ints


def distinct_rows(rows: Ints) -> tuple[Ints, Ints]:
    """Return the different rows of a table, and for each row its number among them."""
    if (rows == rows[0]).all():
        return rows[:1], np.zeros(len(rows), np.int64)
    first, which = _first_rows(rows)
    return rows[first], which


@compiled
def _first_rows(rows: Ints) -> tuple[Ints, Ints]:
    """Return the first of each kind of rows, and the kind of each row, by hashing."""
    count, columns = rows.shape
    size = 16
    while size < 2 * count:
        size *= 2
    slots = np.full(size, -1, np.int64)
    first, which = np.empty(count, np.int64), np.empty(count, np.int64)
    found = 0
    for row in range(count):
        number = 0
        for column in range(columns):
            number = (number * 1000003 + rows[row, column]) & 0xFFFFFFFF
        slot = (number ^ (number >> 15)) & (size - 1)
        while slots[slot] >= 0:
            kind = first[slots[slot]]
            column = 0
            while column < columns and rows[kind, column] == rows[row, column]:
                column += 1
            if column == columns:
                break
            slot = (slot + 1) & (size - 1)
        if slots[slot] < 0:
            slots[slot] = found
            first[found] = row
            found += 1
        which[row] = slots[slot]
    return first[:found].copy(), which
