"""Many partial move sequences at once, as arrays."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .outline import Ints


@dataclass
class States:
    """Partial sequences, a row each. Times are the earliest that keep every rule so far.

    Attributes
    ----------
    done : array (rows,)
        Moves made, as bits.
    last, at : array (rows,)
        The last move and when it starts.
    times : array (rows, moves)
        When each move made starts.
    ready, due, brink : array (rows, moves)
        Each remaining move starts at `ready` or later. At `due` or earlier nothing made
        so far has to change for it; after `brink` it cannot start at all. In between,
        moves made would have to start later than `times` say.
    work : array (rows,)
        Work of the last and the remaining moves, see :attr:`Outlook.work`.
    bound : array (rows,)
        No cycle that begins like this restarts earlier.
    trail : array (rows, layer)
        The moves in order.
    """

    done: Ints
    last: Ints
    at: Ints
    times: Ints
    ready: Ints
    due: Ints
    brink: Ints
    work: Ints
    bound: Ints
    trail: Ints

    def __len__(self) -> int:
        return len(self.done)

    def take(self, rows: Ints) -> States:
        """Some of the rows."""
        return States(*(getattr(self, name)[rows] for name in _FIELDS))

    @staticmethod
    def joined(parts: list[States]) -> States:
        """All rows of several."""
        return States(*(np.concatenate([getattr(p, name) for p in parts]) for name in _FIELDS))

    def distinct(self) -> States:
        """One row, the earliest, of those that differ in nothing that matters later.

        Rows in which moves made may still have to start later are left alone: what is
        possible there depends on more than the windows.
        """
        columns = [self.done, self.last, *self.ready.T, *self.due.T, *self.brink.T]
        hashed = np.zeros(len(self), np.uint64)
        with np.errstate(over="ignore"):
            for number, column in enumerate(columns, start=1):
                hashed ^= column.astype(np.uint64) + np.uint64(number * _ODD % 2**64)
                hashed *= np.uint64(_MIX)
                hashed ^= hashed >> np.uint64(29)
        order = np.lexsort((self.at, hashed))
        pairs = np.flatnonzero(hashed[order[1:]] == hashed[order[:-1]])
        # Equal hashes are looked at in full: two different rows must not become one.
        same = np.ones(len(pairs), bool)
        for column in columns:
            same &= column[order[pairs + 1]] == column[order[pairs]]
        settled = (self.due == self.brink).all(axis=1)
        same &= settled[order[pairs + 1]]
        keep = np.ones(len(self), bool)
        keep[order[pairs[same] + 1]] = False
        return self.take(np.flatnonzero(keep))


_FIELDS = tuple(States.__dataclass_fields__)
_ODD, _MIX = 0x9E3779B97F4A7C15, 0xBF58476D1CE4E5B9
