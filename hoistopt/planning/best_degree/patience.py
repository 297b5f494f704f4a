"""Ending a search without a time limit when nothing has changed for a while."""

from __future__ import annotations

import threading
import time
from fractions import Fraction
from types import TracebackType
from typing import Self

from ...base.effort import Stop

STEP = Fraction(1, 1000)
"""By how much a bound must rise, as a share of itself, to count as progress."""


class Patience:
    """Sets a stop once so many seconds have passed without progress, while it is entered.

    Progress is a better mean time per load, or a bound that rose by a thousandth. Without
    any schedule it waits on.

    Parameters
    ----------
    seconds : float or None
        None: for ever.

    Attributes
    ----------
    stop : Stop
        Set when patience is over.
    """

    def __init__(self, seconds: float | None) -> None:
        self.stop = Stop()
        self._seconds = seconds
        self._last = time.monotonic()
        self._best: Fraction | None = None
        self._bounds: dict[int, Fraction] = {}
        self._done = threading.Event()
        self._thread: threading.Thread | None = None

    @property
    def over(self) -> bool:
        """Whether it has run out."""
        return self.stop.is_set()

    def hear(self, degree: int, mean: Fraction | None, least: Fraction) -> None:
        """Take note of where a degree stands, in ticks for a set of loads; from any thread."""
        if mean is not None and (self._best is None or mean < self._best):
            self._best, self._last = mean, time.monotonic()
        before = self._bounds.get(degree)
        if before is None or least > before * (1 + STEP):
            self._bounds[degree], self._last = least, time.monotonic()

    def __enter__(self) -> Self:
        if self._seconds is not None:
            self._thread = threading.Thread(target=self._watch, daemon=True)
            self._thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._done.set()
        if self._thread is not None:
            self._thread.join()

    def _watch(self) -> None:
        assert self._seconds is not None
        while True:
            left = self._last + self._seconds - time.monotonic()
            if left <= 0 and self._best is not None:
                self.stop.set()
                return
            if self._done.wait(max(left, 0.2)):
                return
