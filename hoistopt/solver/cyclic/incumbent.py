"""The incumbent of a search and its bound, shared by all that search at the same time; and what
a search came to."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from ...instance import Instance
from ...schedule import Schedule
from ..bounds import horizon
from ..cpsat import Status

Tell = Callable[[int | None, int, float], None]
"""Called with the best cycle time or None, the bound, both in ticks, and elapsed seconds."""


@dataclass(frozen=True)
class Found:
    """The outcome of a search; `bound` in ticks, `runtime` in seconds."""

    status: Status
    bound: int
    schedule: Schedule | None
    runtime: float


@dataclass
class Incumbent:
    """The best schedule known and the best lower bound. Methods may be called from any thread.

    Attributes
    ----------
    bound : int
        Ticks that no schedule's cycle is shorter than.
    tell : callable or None
        Called whenever `best` or `bound` may have moved.
    best : int or None
        The shortest cycle time known, in ticks. A search may report it before its schedule.
    schedule : Schedule or None
        The best schedule kept.
    values : list of int
        Values of its variables in the whole model, to start another search from; may be empty.
    lowest : int
        The bound at the beginning. It is part of the model, so that `values` fit.
    began : float
        When the search began, by ``time.perf_counter``.
    """

    bound: int
    tell: Tell | None = None
    best: int | None = None
    schedule: Schedule | None = None
    values: list[int] = field(default_factory=list)
    lowest: int = field(init=False)
    began: float = field(default_factory=time.perf_counter)
    _lock: threading.Lock = field(default_factory=threading.Lock, repr=False)

    def __post_init__(self) -> None:
        self.lowest = self.bound

    def begin(self, lowest: int) -> None:
        """Take a better bound to begin with; before any search."""
        self.bound = self.lowest = max(self.bound, lowest)

    @property
    def elapsed(self) -> float:
        """Seconds since the search began."""
        return time.perf_counter() - self.began

    @property
    def closed(self) -> bool:
        """Whether the best schedule is proven least."""
        return self.best is not None and self.bound >= self.best

    def improve(self, best: int | None, bound: int | None) -> None:
        """Take a cycle time or a bound, in ticks, where it is better than what is known."""
        with self._lock:
            if best is not None and (self.best is None or best < self.best):
                self.best = best
            if bound is not None and bound > self.bound:
                self.bound = bound
        if self.tell is not None:
            self.tell(self.best, self.bound, self.elapsed)

    def keep(self, schedule: Schedule, values: list[int]) -> bool:
        """Keep a schedule if it is better than the one kept; return whether it is."""
        with self._lock:
            better = self.schedule is None or schedule.cycle < self.schedule.cycle
            if better:
                self.schedule, self.values = schedule, values
        if better:
            self.improve(schedule.cycle, None)
        return better


def longest_of_interest(instance: Instance, incumbent: Incumbent) -> int:
    """Return the longest cycle time that is allowed and better than the incumbent's, in ticks."""
    tops = [horizon(instance)]
    if incumbent.best is not None:
        tops.append(incumbent.best - 1)
    if instance.longest is not None:
        tops.append(instance.longest)
    return min(tops)
