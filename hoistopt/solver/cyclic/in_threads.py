"""Rounds of a search in every thread of a clock, each going on from where it was left."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from typing import Protocol

from ...base.clock import OutOfTime
from ..compiling import current_guard, use_guard


class Rounds(Protocol):
    """Rounds of one thread.

    Attributes
    ----------
    made, found : int
        Rounds, and those that found something better.
    """

    made: int
    found: int

    def near(self, rounds: int) -> None:
        """Make so many rounds, or fewer where they are of no use."""


class InThreads:
    """Rounds of several threads at the same time.

    Parameters
    ----------
    threads : sequence of Rounds
    """

    def __init__(self, threads: Sequence[Rounds]) -> None:
        self._threads = threads

    def near(self, rounds: int) -> tuple[int, int]:
        """Make so many rounds in every thread, or fewer where they are of no use.

        What fails in one of them is raised here; when the clock is over, they end.

        Returns
        -------
        int, int
            Rounds made, and how many of them found something better.
        """
        before = self._made

        def run(thread: Rounds) -> None:
            with suppress(OutOfTime):
                thread.near(rounds)

        guard = current_guard()
        with ThreadPoolExecutor(
            len(self._threads), initializer=use_guard, initargs=(guard,)
        ) as pool:
            for done in [pool.submit(run, thread) for thread in self._threads]:
                done.result()
        made = self._made
        return made[0] - before[0], made[1] - before[1]

    @property
    def _made(self) -> tuple[int, int]:
        threads = self._threads
        return sum(thread.made for thread in threads), sum(thread.found for thread in threads)
