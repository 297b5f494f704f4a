"""An effort under way: what is left of it, and whether it is over."""

from __future__ import annotations

import copy
import os
import time
from typing import Self

from .effort import Effort, Progress, Stop

LOOK_EVERY = 0.05
"""Seconds between two looks at a clock by what waits for something else."""


class OutOfTime(Exception):
    """An effort was over in the middle of something that has no answer in parts.

    Whoever began the effort catches it and answers with what is known by then; it never
    leaves a public function.
    """


class Clock:
    """Runs from the moment it is made; passed down to all that a search does.

    Parameters
    ----------
    effort : Effort, optional
        By default one without limits.

    Attributes
    ----------
    effort : Effort
    workers : int
        Threads to use.
    seed : int
    """

    def __init__(self, effort: Effort | None = None) -> None:
        self.effort = Effort() if effort is None else effort
        self.workers = self.effort.workers or os.cpu_count() or 1
        self.seed = self.effort.seed
        self._began = time.monotonic()
        limit = self.effort.time_limit
        self._ends = None if limit is None else self._began + limit
        self._stops: tuple[Stop, ...] = () if self.effort.stop is None else (self.effort.stop,)

    @property
    def elapsed(self) -> float:
        """Seconds since it was made."""
        return time.monotonic() - self._began

    @property
    def left(self) -> float | None:
        """Seconds left, not below 0; None without a limit."""
        return None if self._ends is None else max(0.0, self._ends - time.monotonic())

    @property
    def stopped(self) -> bool:
        """Whether a stop has been asked for."""
        # Asked for every pair of moves of a model: nothing is made for a clock without a stop.
        return bool(self._stops) and any(stop.is_set() for stop in self._stops)

    @property
    def over(self) -> bool:
        """Whether a stop has been asked for, or the time is up."""
        return self.stopped or (self._ends is not None and time.monotonic() >= self._ends)

    def check(self) -> None:
        """Give up what cannot be left half done.

        Raises
        ------
        OutOfTime
            When it is over.
        """
        if self.over:
            raise OutOfTime

    def part(
        self,
        seconds: float | None = None,
        *,
        workers: int | None = None,
        seed: int | None = None,
        stop: Stop | None = None,
    ) -> Self:
        """A clock that begins now and ends with this one at the latest.

        Parameters
        ----------
        seconds : float, optional
            Most seconds for the part.
        workers, seed : int, optional
            Other ones for the part.
        stop : Stop, optional
            Ends the part, too.
        """
        part = copy.copy(self)
        part._began = now = time.monotonic()
        if seconds is not None:
            ends = now + seconds
            part._ends = ends if self._ends is None else min(ends, self._ends)
        part.workers = self.workers if workers is None else workers
        part.seed = self.seed if seed is None else seed
        if stop is not None:
            part._stops = (*self._stops, stop)
        return part

    def share(self, of: float) -> Self:
        """A part with such a share of the time that is left."""
        left = self.left
        return self.part(None if left is None else left * of)

    def tell(
        self,
        doing: str = "",
        *,
        done: int = 0,
        total: int | None = None,
        cycle_time: float | None = None,
        lower_bound: float | None = None,
    ) -> None:
        """Pass news on to whoever listens, with the seconds so far."""
        self.effort.tell(Progress(cycle_time, lower_bound, self.elapsed, done, total, doing))
