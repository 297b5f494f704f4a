"""Whether there is time to compile: loops that no earlier run has stored take seconds to make.

A compilation cannot be stopped. So a search says which clock it runs by, and a loop that would
not be ready before that is over is not begun: whoever wanted it goes on without. Loads of code
that is stored already are never refused.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace

from ..base.clock import Clock, OutOfTime

USUAL, LONG, LONGEST = 4.0, 12.0, 20.0
"""Seconds that compiling a loop takes on a machine of its own, two excepted: that of the search
along the track, and the one that puts moves back. Measured once, on two cores, with a margin."""


WORTH = 2.0
"""How many times as long as a loop takes to compile there must be left: who has compiled it and has
no time to use it has less than one who went without."""


class NoTimeToCompile(OutOfTime):
    """The clock would be over before a loop was compiled; other ways to search still have time."""


class CompilingGuard:
    """What a clock leaves for compiling.

    Parameters
    ----------
    clock : Clock
    """

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._began, self._worked = time.perf_counter(), time.process_time()

    def check(self, takes: float) -> None:
        """Refuse a compilation that takes so many seconds on a machine of its own.

        On one that others use it takes longer, by as much as this search has had to wait.

        Raises
        ------
        NoTimeToCompile
            When too little is left.
        """
        left = self._clock.left
        if left is None:
            return
        waited = time.perf_counter() - self._began
        worked = time.process_time() - self._worked
        if left < WORTH * takes * max(1.0, waited / max(worked, 1e-3)):
            raise NoTimeToCompile


class _Thread(threading.local):
    """The guard of a thread, and how many loops, one within another, it is compiling."""

    guard: CompilingGuard | None = None
    depth: int = 0
    began: float = 0.0


_thread = _Thread()


def current_guard() -> CompilingGuard | None:
    """The guard of this thread, to be handed on to others that work for it."""
    return _thread.guard


def use_guard(guard: CompilingGuard | None) -> None:
    """Let a guard hold in this thread from now on."""
    _thread.guard, _thread.depth = guard, 0


@contextmanager
def compiling_before(clock: Clock) -> Iterator[None]:
    """In this thread, compile nothing that would not be done before the clock is over.

    Of searches within one another the outermost counts: what is compiled in a short one of them
    serves all that follow.
    """
    before = _thread.guard
    if before is not None:
        yield
        return
    use_guard(CompilingGuard(clock))
    try:
        yield
    finally:
        use_guard(before)


@dataclass(frozen=True)
class Compiling:
    """What compiling took a process.

    Attributes
    ----------
    seconds : float
        Spent on it; other threads may have gone on meanwhile.
    refused : int
        How often there was no time for it.
    """

    seconds: float = 0.0
    refused: int = 0

    def since(self, before: Compiling) -> Compiling:
        """What was added to what was recorded before."""
        return Compiling(self.seconds - before.seconds, self.refused - before.refused)


_recorded = Compiling()


def recorded() -> Compiling:
    """What compiling has taken this process so far."""
    return _recorded


def begin_compiling(takes: float) -> None:
    """Note that a loop is about to be compiled.

    Raises
    ------
    NoTimeToCompile
        When there is no time for it. Never for what another one needs that is begun already.
    """
    global _recorded
    if _thread.guard is not None and not _thread.depth:
        try:
            _thread.guard.check(takes)
        except NoTimeToCompile:
            _recorded = replace(_recorded, refused=_recorded.refused + 1)
            raise
    if not _thread.depth:
        _thread.began = time.perf_counter()
    _thread.depth += 1


def end_compiling() -> None:
    """Note that it has been compiled."""
    global _recorded
    depth, _thread.depth = _thread.depth, max(0, _thread.depth - 1)
    if depth == 1:
        took = time.perf_counter() - _thread.began
        _recorded = replace(_recorded, seconds=_recorded.seconds + took)
