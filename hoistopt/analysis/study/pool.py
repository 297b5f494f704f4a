"""Worker processes of our own, one point at a time each."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import suppress
from multiprocessing.connection import wait
from typing import Any


class OwnPool(Executor):
    """A process pool that can be given up at once, and made anew after one of it has died.

    Worker processes are started fresh (not forked: the solver's threads would not survive
    that), never see Ctrl-C, and end with the process that started them. A script that
    uses them must keep its own doings under ``if __name__ == "__main__":``.
    """

    def __init__(self, workers: int) -> None:
        self.workers = workers
        self._pool = self._made()

    def _made(self) -> ProcessPoolExecutor:
        return ProcessPoolExecutor(
            self.workers, multiprocessing.get_context("spawn"), initializer=_stay_with_parent
        )

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Give a worker something to do; workers are started as they are needed."""
        # A new process inherits what is blocked here, and is never sent Ctrl-C.
        block = getattr(signal, "pthread_sigmask", None)
        before = block(signal.SIG_BLOCK, {signal.SIGINT}) if block else None
        try:
            return self._pool.submit(fn, *args, **kwargs)
        finally:
            if block:
                block(signal.SIG_SETMASK, before)

    def renew(self) -> None:
        """After a worker has died: a pool with none of the old ones in it."""
        self.kill()
        self._pool = self._made()

    def kill(self) -> None:
        """End all workers at once, whatever they are doing."""
        # Python gives no other way to them before 3.14.
        processes = list((getattr(self._pool, "_processes", None) or {}).values())
        self._pool.shutdown(wait=False, cancel_futures=True)
        for process in processes:
            with suppress(OSError, ValueError):
                process.kill()

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Let the workers go."""
        self._pool.shutdown(wait, cancel_futures=cancel_futures)


def _stay_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_leave_with, args=(parent.sentinel,), daemon=True).start()


def _leave_with(sentinel: int) -> None:
    wait([sentinel])
    os._exit(1)
