"""Sets of times given by least time differences, many at once."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

Ints = npt.NDArray[Any]

NOTHING = -(1 << 29)
"""No lower bound on a difference; three of them still fit the numbers used."""


def tie(times: Ints, x: Ints, y: Ints, least: Ints) -> None:
    """Add a least time from variable x to variable y, and all that follows from it, in place.

    Parameters
    ----------
    times : array (variables, variables, rows)
        ``[x, y]``: least time from x to y, with all consequences.
    x, y, least : array (rows,)
    """
    rows = np.arange(times.shape[2])
    until = times[:, x, rows] + least
    since = times[y, :, rows].T
    np.maximum(times, until[:, None, :] + since[None, :, :], out=times)


def put_in(times: Ints, variable: int, to: Ints, since: Ints) -> None:
    """Add a variable, and all that follows from it, in place.

    Parameters
    ----------
    times : array (variables, variables, rows)
        With nothing known of `variable`, which all before it are older than.
    to, since : array (variable, rows)
        Least time from each older variable to it, from it to each older one, with all
        consequences.
    """
    older = times[:variable, :variable]
    np.maximum(older, to[:, None, :] + since[None, :, :], out=older)
    times[:variable, variable] = to
    times[variable, :variable] = since
    times[variable, variable] = (to + since).max(axis=0, initial=0)


def close(times: Ints) -> None:
    """Every consequence of least times, in place (Floyd and Warshall)."""
    for k in range(len(times)):
        np.maximum(times, times[:, k, None, :] + times[None, k, :, :], out=times)


def minimal(columns: Ints) -> Ints:
    """Rows that no other row lies below or on in every column; of equal rows, one.

    Of many rows, some that others lie below may be left over, of very many all but equals.

    Parameters
    ----------
    columns : array (columns, rows)
    """
    count = columns.shape[1]
    if count < 2:
        return np.arange(count)
    order = np.lexsort((*columns, columns.sum(axis=0)))
    ranked = columns[:, order]
    if count > _MANY:
        different = (ranked[:, 1:] != ranked[:, :-1]).any(axis=0)
        return order[np.concatenate([[True], different])]
    found = []
    kept = ranked[:, :0]
    for first in range(0, count, _BLOCK):
        block = ranked[:, first : first + _BLOCK]
        alive = np.arange(block.shape[1])
        if kept.shape[1]:
            alive = np.flatnonzero(~_below(kept, block).any(axis=0))
        # Sorted by sum, a row can only lie above earlier ones, or be equal to them.
        among = block[:, alive]
        alive = alive[~np.triu(_below(among, among), 1).any(axis=0)]
        if kept.shape[1] < _AGAINST:
            kept = np.concatenate([kept, block[:, alive]], axis=1)[:, :_AGAINST]
        found.append(order[first + alive])
    return np.concatenate(found)


def _below(low: Ints, high: Ints) -> Ints:
    """Whether rows of the one lie below or on rows of the other, array (low, high)."""
    found = low[0][:, None] <= high[0][None]
    for column in range(1, len(low)):
        found &= low[column][:, None] <= high[column][None]
        if not found.any():
            break
    return found


_BLOCK, _AGAINST, _MANY = 256, 64, 3000


def distinct(rows: Ints) -> tuple[Ints, Ints]:
    """The different rows, and which of them each is."""
    if (rows == rows[0]).all():
        return rows[:1], np.zeros(len(rows), np.int64)
    different, which = np.unique(rows, axis=0, return_inverse=True)
    return different, which.reshape(-1)
