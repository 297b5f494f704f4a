"""Rows of times: which make others needless, and which differ."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from ...compiled import compiled, lean

Ints = npt.NDArray[Any]

NOTHING = -(1 << 29)
"""No lower bound on a difference; three of them still fit the numbers used."""


def minimal(table: Ints) -> Ints:
    """Rows that no other row lies below or on in every column; of equal rows, one.

    Of very many rows, some that others lie below may be left over.

    Parameters
    ----------
    table : array (rows, columns)
    """
    order = np.argsort(table.sum(axis=1), kind="stable")
    return order[_not_above(table[order], _AGAINST)]


_AGAINST = 1 << 12
"""Rows are compared with so many of the lowest, for which there is a table of bits."""

_PARTS = 32
"""Ranges a column is divided into, to find in that table what may lie below a row."""


@compiled
def _not_above(table: Ints, against: int) -> Ints:
    """Rows that no earlier one lies below or on; sorted by their sums, no later one does."""
    count, columns = table.shape
    lowest = min(count, against)
    words = (lowest + 63) // 64
    one = np.uint64(1)
    part = _parts(table)
    below = np.zeros((columns, _PARTS, words), np.uint64)
    for column in range(columns):
        for row in range(lowest):
            below[column, part[row, column], row // 64] |= one << np.uint64(row % 64)
        for number in range(1, _PARTS):
            for word in range(words):
                below[column, number, word] |= below[column, number - 1, word]
    kept = np.empty(count, np.int64)
    found = 0
    for row in range(count):
        above = False
        earlier = min(row, lowest)
        for word in range((earlier + 63) // 64):
            bits = below[0, part[row, 0], word]
            if word == earlier // 64:
                bits &= (one << np.uint64(earlier % 64)) - one
            column = 1
            while bits and column < columns:
                bits &= below[column, part[row, column], word]
                column += 1
            other = 64 * word
            while bits and not above:
                above = bool(bits & one) and _lies_below(table, other, row)
                bits >>= one
                other += 1
            if above:
                break
        if not above:
            kept[found] = row
            found += 1
    return kept[:found].copy()


@compiled
def _parts(table: Ints) -> Ints:
    """Which range of its column each number is in, of no more than `_PARTS`."""
    count, columns = table.shape
    least, shift = table[0].copy(), table[0].copy()
    for row in range(1, count):
        for column in range(columns):
            least[column] = min(least[column], table[row, column])
            shift[column] = max(shift[column], table[row, column])
    for column in range(columns):
        width, bits = shift[column] - least[column], 0
        while width >> bits >= _PARTS:
            bits += 1
        shift[column] = bits
    part = np.empty((count, columns), np.uint8)
    for row in range(count):
        for column in range(columns):
            part[row, column] = (table[row, column] - least[column]) >> shift[column]
    return part


@lean
def _lies_below(table: Ints, low: int, high: int) -> bool:
    """Whether one row of a table lies below or on another in every column."""
    column = 0
    while column < table.shape[1] and table[low, column] <= table[high, column]:
        column += 1
    return bool(column == table.shape[1])


def distinct(rows: Ints) -> tuple[Ints, Ints]:
    """The different rows, and which of them each is."""
    if (rows == rows[0]).all():
        return rows[:1], np.zeros(len(rows), np.int64)
    first, which = _distinct(rows)
    return rows[first], which


@compiled
def _distinct(rows: Ints) -> tuple[Ints, Ints]:
    """The first of each kind of rows, and the kind of each row, by hashing."""
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
