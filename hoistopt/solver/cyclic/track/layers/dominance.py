"""Dominance: states that another state makes needless."""

from __future__ import annotations

import numpy as np

from ....compiled import compiled, lean
from ..times.span import Ints


def undominated(table: Ints) -> Ints:
    """Return the rows that no other row dominates; of equal rows, one.

    A row dominates another if it is at most as large in every column.

    Parameters
    ----------
    table : array (rows, columns)

    Returns
    -------
    array (some,)
        Numbers of rows, by rising sum. Of very many rows, some that others dominate may be
        left over: each is compared with the lowest 4096 only.
    """
    order = np.argsort(table.sum(axis=1), kind="stable")
    return order[_not_dominated(table[order], _AGAINST)]


_AGAINST = 1 << 12
"""Each row is compared with so many of the lowest, for which there is a table of bits."""

_PARTS = 32
"""Ranges that a column is divided into, to find in that table what may dominate a row."""


@compiled
def _not_dominated(table: Ints, against: int) -> Ints:
    """Return the rows that no earlier row dominates; sorted by sum, no later row can.

    Bit r of ``below[c, p]`` says whether row r is in range p of column c, or in a lower one.
    Only rows with their bits set in all columns are compared number by number.
    """
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
                # Only earlier rows count.
                bits &= (one << np.uint64(earlier % 64)) - one
            column = 1
            while bits and column < columns:
                bits &= below[column, part[row, column], word]
                column += 1
            other = 64 * word
            while bits and not above:
                above = bool(bits & one) and _dominates(table, other, row)
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
    """Return which range of its column each number is in, of `_PARTS` at most."""
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
def _dominates(table: Ints, low: int, high: int) -> bool:
    """Return whether one row of a table is at most another in every column."""
    column = 0
    while column < table.shape[1] and table[low, column] <= table[high, column]:
        column += 1
    return bool(column == table.shape[1])
