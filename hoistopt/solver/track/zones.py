"""Rows of times: which make others needless, and which differ."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
from numba import njit

Ints = npt.NDArray[Any]

NOTHING = -(1 << 29)
"""No lower bound on a difference; three of them still fit the numbers used."""


def minimal(table: Ints) -> Ints:
    """Rows that no other row lies below or on in every column; of equal rows, one.

    Parameters
    ----------
    table : array (rows, columns)
    """
    order = np.argsort(table.sum(axis=1), kind="stable")
    return order[_not_above(table[order], _AGAINST)]


_AGAINST = 1 << 30


@njit(nogil=True, cache=True)
def _not_above(table: Ints, against: int) -> Ints:
    """Rows that no earlier one lies below or on, if rows are sorted by their sums."""
    count, columns = table.shape
    low = np.empty((min(count, against), columns), table.dtype)
    kept = np.empty(count, np.int64)
    found = 0
    for row in range(count):
        above = False
        for other in range(min(found, against)):
            column = 0
            while column < columns and low[other, column] <= table[row, column]:
                column += 1
            if column == columns:
                above = True
                break
        if not above:
            if found < against:
                low[found] = table[row]
            kept[found] = row
            found += 1
    return kept[:found].copy()


def distinct(rows: Ints) -> tuple[Ints, Ints]:
    """The different rows, and which of them each is."""
    if (rows == rows[0]).all():
        return rows[:1], np.zeros(len(rows), np.int64)
    first, which = _distinct(rows)
    return rows[first], which


@njit(nogil=True, cache=True)
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
