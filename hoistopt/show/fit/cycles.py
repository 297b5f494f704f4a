"""What fitted times do to the cycle time."""

from __future__ import annotations

from dataclasses import dataclass

from ...planning.result import Result


@dataclass(frozen=True)
class Cycles:
    """The least cycle found with today's file and with the changed one.

    Attributes
    ----------
    before, after : Result or None
        None where a stop came first.
    broken : int
        How many rules the schedule of today's file breaks on the changed line.
    """

    before: Result | None
    after: Result | None
    broken: int = 0
