"""Partial sequences of moves as states, many at once, as arrays."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .relaxation import Ints


@dataclass
class States:
    """Partial sequences, a row each. Times, in ticks, are the earliest that keep every rule.

    Attributes
    ----------
    done : array (rows,)
        Moves made, as bits.
    last, at : array (rows,)
        The last move and when it starts.
    times : array (rows, moves)
        When each move made starts.
    release, due, deadline : array (rows, moves)
        Each remaining move starts at its `release` or later. At its `due` date or earlier no
        move made has to change for it; after its `deadline` it cannot start at all. In between,
        moves made would have to start later than `times` say.
    work : array (rows,)
        Sum of the work of the last and the remaining moves, see :attr:`CompletionBound.work`.
    bound : array (rows,)
        Lower bound on the cycle time of all sequences that begin like this.
    sequence : array (rows, moves made)
        The moves made, in order.
    """

    done: Ints
    last: Ints
    at: Ints
    times: Ints
    release: Ints
    due: Ints
    deadline: Ints
    work: Ints
    bound: Ints
    sequence: Ints

    def __len__(self) -> int:
        return len(self.done)

    def take(self, rows: Ints) -> States:
        """Return some of the rows."""
        return States(*(getattr(self, name)[rows] for name in _FIELDS))

    @staticmethod
    def joined(parts: list[States]) -> States:
        """Return all rows of several."""
        return States(*(np.concatenate([getattr(p, name) for p in parts]) for name in _FIELDS))

    def distinct(self) -> States:
        """Return one state, the earliest, of those that differ in nothing that matters later.

        States in which moves made may still have to start later are left alone: what is
        possible after them depends on more than the windows.
        """
        columns = [self.done, self.last, *self.release.T, *self.due.T, *self.deadline.T]
        hashed = np.zeros(len(self), np.uint64)
        with np.errstate(over="ignore"):
            for number, column in enumerate(columns, start=1):
                hashed ^= column.astype(np.uint64) + np.uint64(number * _ODD % 2**64)
                hashed *= np.uint64(_MIX)
                hashed ^= hashed >> np.uint64(29)
        order = np.lexsort((self.at, hashed))
        pairs = np.flatnonzero(hashed[order[1:]] == hashed[order[:-1]])
        # Equal hashes are compared in full: two different states must not become one.
        same = np.ones(len(pairs), bool)
        for column in columns:
            same &= column[order[pairs + 1]] == column[order[pairs]]
        settled = (self.due == self.deadline).all(axis=1)
        same &= settled[order[pairs + 1]]
        keep = np.ones(len(self), bool)
        keep[order[pairs[same] + 1]] = False
        return self.take(np.flatnonzero(keep))


_FIELDS = tuple(States.__dataclass_fields__)
_ODD, _MIX = 0x9E3779B97F4A7C15, 0xBF58476D1CE4E5B9
