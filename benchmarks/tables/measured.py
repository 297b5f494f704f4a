"""Several runs of a method on a case, put together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import exp, log
from statistics import median

from ..store import Row

Pair = tuple[str, str]
"""Name of a case, name of a method."""


@dataclass(frozen=True)
class Measured:
    """Medians over the repeats of one method on one case; seconds.

    `seconds` is None unless every repeat came to a proof within the limit.
    """

    rows: tuple[Row, ...]

    @property
    def last(self) -> Row:
        """The last of the runs, for what is the same in all of them."""
        return self.rows[-1]

    @property
    def seconds(self) -> float | None:
        """Median time to the proof."""
        if not all(row.proven for row in self.rows):
            return None
        return median(row.seconds or 0.0 for row in self.rows)

    @property
    def counted(self) -> float:
        """Time to the proof; the limit where there was none."""
        return self.last.time_limit if self.seconds is None else self.seconds

    @property
    def first(self) -> float | None:
        """Median time to the first schedule; None unless every run ended with one checked."""
        times = [row.first_seconds for row in self.rows]
        known = [time for time in times if time is not None]
        return median(known) if len(known) == len(times) else None

    @property
    def process(self) -> float:
        """Median life of the process."""
        return median(row.process_seconds for row in self.rows)

    @property
    def peak(self) -> float:
        """Most memory held, in MiB."""
        return max(row.peak_mb for row in self.rows)

    @property
    def cycle(self) -> int | None:
        """Shortest checked cycle time, in ticks."""
        return min((row.cycle for row in self.rows if row.cycle is not None), default=None)

    @property
    def longest(self) -> int | None:
        """Longest checked cycle time of the repeats, in ticks; None where one has no schedule."""
        cycles = [row.cycle for row in self.rows]
        known = [cycle for cycle in cycles if cycle is not None]
        return max(known) if len(known) == len(cycles) else None

    @property
    def bound(self) -> int | None:
        """Lowest bound of the repeats, in ticks; None where one has none."""
        bounds = [row.bound for row in self.rows]
        known = [bound for bound in bounds if bound is not None]
        return min(known) if len(known) == len(bounds) else None

    @property
    def gap(self) -> float | None:
        """Largest gap of the repeats; None where one has no schedule."""
        gaps = [row.gap for row in self.rows]
        known = [gap for gap in gaps if gap is not None]
        return max(known) if len(known) == len(gaps) else None


def measured(rows: Iterable[Row]) -> dict[Pair, Measured]:
    """The runs by case and method, in the order of the rows."""
    found: dict[Pair, list[Row]] = {}
    for row in rows:
        found.setdefault((row.case, row.method), []).append(row)
    return {pair: Measured(tuple(runs)) for pair, runs in found.items()}


def geometric(values: Iterable[float]) -> float:
    """Geometric mean."""
    logs = [log(max(value, 1e-6)) for value in values]
    return exp(sum(logs) / len(logs))
