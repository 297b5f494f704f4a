"""Times of the hoist that were measured, by what was measured between which stations."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from math import gcd
from typing import TYPE_CHECKING, Literal, NamedTuple

from ..problem import Problem
from ..problem.scatter import What

if TYPE_CHECKING:
    import numpy as np


class Timed(NamedTuple):
    """What was timed.

    Attributes
    ----------
    what : {"lift", "travel", "lower", "move", "empty"}
        A part of a loaded move, `travel` with settling; the whole move without its drip, from
        the start of lifting to the end of lowering; or empty travel with settling.
    source, target : str or None
        Stations; a lift has no target, lowering no source.
    """

    what: What
    source: str | None
    target: str | None

    @property
    def between(self) -> str:
        """The stations in words."""
        return " to ".join(name for name in (self.source, self.target) if name is not None)


@dataclass(frozen=True)
class Group:
    """All readings of one thing.

    Attributes
    ----------
    timed : Timed
    times : numpy.ndarray
        In the problem's unit.
    rows : numpy.ndarray
        Where each stands in its file.
    files : numpy.ndarray
        In which of the files, from 0.
    """

    timed: Timed
    times: np.ndarray
    rows: np.ndarray
    files: np.ndarray

    def __len__(self) -> int:
        return len(self.times)


@dataclass(frozen=True)
class Readings:
    """All that was measured.

    Attributes
    ----------
    problem : Problem
        The line it was measured on.
    origin : {"list", "log"}
        A stopwatch list, or a controller's event log.
    files : tuple of str
    groups : tuple of Group
        Each thing timed once.
    bounds : tuple of Group
        Of a log: from each lowering to the next lift of the hoist. That is empty travel and
        a wait of unknown length, so each only says that empty travel takes no longer.
    step : float
        To what the times were read, in the problem's unit; 0 where too few tell.
    notes : tuple of str
        What was left out of the readings and why, a sentence each.
    hoist : int
        Which of the line's hoists was timed, from 0.
    at_once : frozenset of (str, str) or None
        Of a log that follows a plan: from where to where empty travels lead after which the
        plan has the hoist lift at once. None: no plan is known.
    """

    problem: Problem
    origin: Literal["list", "log"]
    files: tuple[str, ...]
    groups: tuple[Group, ...]
    bounds: tuple[Group, ...] = ()
    step: float = 0.0
    notes: tuple[str, ...] = field(default=())
    hoist: int = 0
    at_once: frozenset[tuple[str, str]] | None = None

    @property
    def count(self) -> int:
        """How many times were read."""
        return sum(map(len, self.groups))

    def place(self, group: Group, number: int) -> str:
        """Where one reading of a group stands."""
        row = f"row {int(group.rows[number])}"
        return row if len(self.files) == 1 else f"{self.files[int(group.files[number])]}, {row}"


_FEW = 5


def step_of(times: Sequence[Decimal]) -> Decimal:
    """The coarsest step of which all times read are multiples; 0 where too few tell.

    Parameters
    ----------
    times : sequence of Decimal
        As they were written.
    """
    if len(times) < _FEW:
        return Decimal(0)
    decimals = max(max(0, -int(time.as_tuple().exponent)) for time in times)
    common = gcd(*(int(time.scaleb(decimals)) for time in times))
    return Decimal(common).scaleb(-decimals)


def grouped(found: Iterable[tuple[Timed, float, int]]) -> tuple[Group, ...]:
    """Readings of one file, each with its row, by what was timed."""
    import numpy as np

    by: dict[Timed, list[tuple[float, int]]] = {}
    for timed, time, row in found:
        by.setdefault(timed, []).append((time, row))
    return tuple(
        Group(
            timed,
            np.array([time for time, _ in readings]),
            np.array([row for _, row in readings], dtype=np.int64),
            np.zeros(len(readings), dtype=np.int64),
        )
        for timed, readings in by.items()
    )
