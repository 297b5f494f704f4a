"""Where a search stands: best schedule, best bound, and who is told of either."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from ...schedule import Schedule

Tell = Callable[[int | None, int, float], None]
"""Hears best cycle time or None, bound (both in ticks), and elapsed seconds."""


@dataclass
class Standing:
    """Best schedule and bound so far, in ticks.

    `lowest` is the bound it began with; `values` are those of the best schedule's variables,
    to begin another search from.
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
        """Take a better bound to begin with."""
        self.bound = self.lowest = max(self.bound, lowest)

    @property
    def elapsed(self) -> float:
        """Seconds since the search began."""
        return time.perf_counter() - self.began

    @property
    def closed(self) -> bool:
        """Whether the best schedule is proven least."""
        return self.best is not None and self.bound >= self.best

    def hear(self, best: int | None, bound: int | None) -> None:
        """Take in a better cycle time or bound, if it is one, and pass it on."""
        with self._lock:
            if best is not None and (self.best is None or best < self.best):
                self.best = best
            if bound is not None and bound > self.bound:
                self.bound = bound
        if self.tell is not None:
            self.tell(self.best, self.bound, self.elapsed)

    def keep(self, schedule: Schedule, values: list[int]) -> bool:
        """Keep a schedule if it is the best so far."""
        with self._lock:
            better = self.schedule is None or schedule.cycle < self.schedule.cycle
            if better:
                self.schedule, self.values = schedule, values
        if better:
            self.hear(schedule.cycle, None)
        return better
