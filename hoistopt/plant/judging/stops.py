"""When the hoist stood idle for longer than usual, and what that cost."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ..events import EventLog
from ..visits import Visits
from .stays import Stays

if TYPE_CHECKING:
    import polars as pl

USUAL = 0.99
"""Share of the gaps between events that counts as usual."""
FACTOR = 2
"""A gap is a stop where it is longer than so many times the longest usual one."""
RULE = (
    "A stop is a time without any event that is longer than twice the gap that 99 % of all gaps "
    "do not exceed."
)


@dataclass(frozen=True)
class Stop:
    """A time without any event.

    Attributes
    ----------
    begin, end : int
        Microseconds UTC.
    line : int
        Row of the event after it.
    file : str
    inside : int
        Loads that stood in tanks meanwhile.
    over : int
        Stays that lasted through it and were over their maximum.
    lost : float
        Loads that the line makes in that time at its usual rate; 0 where no load was inside.
    """

    begin: int
    end: int
    line: int
    file: str
    inside: int
    over: int
    lost: float

    @property
    def length(self) -> int:
        """Length of the stop in microseconds."""
        return self.end - self.begin


@dataclass(frozen=True)
class Running:
    """How long a line ran, stood and what it made.

    Attributes
    ----------
    longest_usual : int
        The limit beyond which a gap is a stop, in microseconds.
    stops : list of Stop
        In order of time.
    span : int
        From the first event to the last, in microseconds, times before a clock was set back
        counted once.
    loads : int
        Loads set down at an unload station.
    """

    longest_usual: int
    stops: list[Stop]
    span: int
    loads: int

    @property
    def stopped(self) -> int:
        """Time of all stops, in microseconds."""
        return sum(stop.length for stop in self.stops)

    @property
    def loads_per_hour(self) -> float | None:
        """Mean loads per hour over the whole span of the log; None where it has no length."""
        return 3.6e9 * self.loads / self.span if self.span else None

    @property
    def loads_per_running_hour(self) -> float | None:
        """Over the time without stops."""
        running = self.span - self.stopped
        return 3.6e9 * self.loads / running if running > 0 else None


def running_of(
    log: EventLog, visits: Visits, stays: Stays, ends: pl.DataFrame, longest: int | None = None
) -> Running:
    """Find the stops of a log and what they cost.

    Parameters
    ----------
    log : EventLog
    visits : Visits
    stays : Stays
    ends : polars.DataFrame
        `out`, when each load was set down at an unload station.
    longest : int, optional
        The longest gap that is no stop, in microseconds; by default `RULE` says.
    """
    import polars as pl

    frame = log.frame.select("time", "clock", "line", "file")
    gap = pl.col("time") - pl.col("time").shift(1)
    frame = frame.with_columns(
        gap=pl.when(pl.col("clock") == pl.col("clock").shift(1)).then(gap),
        begin=pl.col("time").shift(1),
    )
    gaps = frame.get_column("gap")
    # Events whose time could not be read lie in such a gap: the hoist did not stand.
    between = pl.Series(_untimed_before(frame, log.untimed))
    span = int(gaps.sum() or 0)
    if longest is None:
        usual = gaps.drop_nulls().quantile(USUAL, "higher")
        longest = FACTOR * int(usual or 0)
    found = frame.filter((pl.col("gap") > longest) & ~between)
    begins = found.get_column("begin").to_numpy()
    finishes = found.get_column("time").to_numpy()
    running = span - int(found.get_column("gap").sum() or 0)
    rate = len(ends) / running if running > 0 else 0.0
    seen = stays.frame.filter(pl.col("in").is_not_null() & pl.col("out").is_not_null())
    inside = _through(seen, begins)
    over = _through(seen.filter(pl.col("verdict") == "over"), begins)
    stops = [
        Stop(begin, end, line, file, int(n), int(late), rate * (end - begin) if n else 0.0)
        for begin, end, line, file, n, late in zip(
            begins.tolist(), finishes.tolist(), found.get_column("line").to_list(),
            found.get_column("file").to_list(), inside, over, strict=True,
        )
    ]  # fmt: skip
    return Running(longest, stops, span, len(ends))


def _untimed_before(frame: pl.DataFrame, untimed: pl.DataFrame) -> np.ndarray:
    """Whether events without a time stand between each event and the one before, in a file."""
    import polars as pl

    found = np.zeros(len(frame), dtype=bool)
    for (file,), rows in untimed.group_by("file"):
        lines = np.sort(rows.get_column("line").to_numpy())
        here = frame.get_column("file").cast(pl.String) == file
        same = (here & here.shift(1, fill_value=False)).to_numpy()
        line = frame.get_column("line").to_numpy()
        before = np.concatenate([line[:1], line[:-1]])
        count = np.searchsorted(lines, np.maximum(line, before)) - np.searchsorted(
            lines, np.minimum(line, before)
        )
        found |= same & (count > 0)
    return found


def _through(seen: pl.DataFrame, begins: np.ndarray) -> np.ndarray:
    """How many of these stays lasted through the stop that begins at each of these times.

    Nothing is lifted or set down during a stop: who was there when it began stayed.
    """
    ins = np.sort(seen.get_column("in").to_numpy())
    outs = np.sort(seen.get_column("out").to_numpy())
    return np.searchsorted(ins, begins, "right") - np.searchsorted(outs, begins, "right")
