"""Stop a search from another thread, and see how soon it ends."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace

from hoistopt import Effort, Progress, Stop

SOON = 20.0
"""Seconds within which a stopped search has to end, on a machine that does much else."""


def has_schedule(news: Progress) -> bool:
    """Whether a schedule has been found, for `once`."""
    return news.cycle_time is not None


@contextmanager
def stopped(
    after: float = 1.0,
    *,
    once: Callable[[Progress], bool] | None = None,
    begun: threading.Event | None = None,
    workers: int = 2,
) -> Iterator[Effort]:
    """An effort that another thread stops; the block has to end soon after.

    Parameters
    ----------
    after : float
        Seconds from the beginning, or from the news that `once` waits for; 0: the search
        gets no further than that news.
    begun : threading.Event, optional
        Counts from when this is set instead, by whoever knows where the search has to be.
    """
    told = begun is None  # by the news, if by anything
    waits = once is not None or not told
    begun = threading.Event() if begun is None else begun
    stop, done = Stop(), threading.Event()
    at: list[float] = []

    def hear(news: Progress) -> None:
        if told and (once is None or once(news)):
            begun.set()
            if not after:
                stop.wait(60)  # whoever listens holds the search up until it is stopped

    def run() -> None:
        if waits:
            begun.wait(120)
        done.wait(after)
        at.append(time.monotonic())
        stop.set()

    thread = threading.Thread(target=run)
    thread.start()
    try:
        yield replace(Effort(workers=workers), stop=stop, on_progress=hear)
        ended = time.monotonic()
        assert at, "it ended before it was stopped: nothing was tested"
        assert ended - at[0] < SOON
    finally:
        begun.set()
        done.set()
        thread.join(120)
