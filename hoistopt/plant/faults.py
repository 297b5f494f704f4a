"""What of a log cannot be read or explained, an entry each, up to a number."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

MOST_FAULTS = 10_000
"""Entries that are listed one by one; of further ones only the number is told."""


@dataclass(frozen=True)
class Fault:
    """A row that could not be read, or an event that could not be explained.

    Attributes
    ----------
    file : str
    line : int
        Row of the file, from 1.
    field : str
        What of a row cannot be read, such as "station"; of an event that cannot be explained,
        what kind of trouble it is, such as "missing lift".
    value : str
        What stood there.
    why : str
        What was expected, or what is wrong, in words.
    """

    file: str
    line: int
    field: str
    value: str
    why: str


@dataclass
class Faults:
    """A list of faults that stays short enough to be kept.

    Attributes
    ----------
    listed : list of Fault
    unlisted : int
        Further ones.
    """

    listed: list[Fault] = field(default_factory=list)
    unlisted: int = 0

    def add(self, found: Iterable[Fault], more: int = 0) -> None:
        """Add faults, and a number of others that nobody wrote down."""
        for fault in found:
            if len(self.listed) < MOST_FAULTS:
                self.listed.append(fault)
            else:
                more += 1
        self.unlisted += more
