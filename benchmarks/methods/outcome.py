"""What every method of the bench gives back."""

from __future__ import annotations

import time
from dataclasses import dataclass, field

from hoistopt.schedule import Schedule


@dataclass(frozen=True)
class Outcome:
    """Answer of a method: `bound` in ticks, None where none is claimed."""

    status: str
    bound: int | None
    schedule: Schedule | None


@dataclass
class Clock:
    """Runs from the call of a method; keeps when it found its first and its best schedule."""

    limit: float
    began: float = field(default_factory=time.perf_counter)
    first: float | None = None
    best: float | None = None

    def elapsed(self) -> float:
        """Seconds since the call."""
        return time.perf_counter() - self.began

    def left(self) -> float:
        """Seconds of the limit that remain, and a hundredth at least."""
        return max(0.01, self.limit - self.elapsed())

    def found(self) -> None:
        """A better schedule is there now."""
        self.best = self.elapsed()
        if self.first is None:
            self.first = self.best
