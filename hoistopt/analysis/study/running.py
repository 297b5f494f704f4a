"""Run tasks through any executor, and lose nothing when something under it breaks."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Hashable, Mapping
from concurrent.futures import FIRST_COMPLETED, CancelledError, Executor, Future, wait
from typing import Any

from ...base.clock import LOOK_EVERY, Clock
from .pool import OwnPool

ATTEMPTS = 3
"""Tries a task gets where what runs it breaks down each time."""

Task = tuple[Any, ...]
Hear = Callable[[Hashable, dict[str, Any]], None]


def run_tasks(
    function: Callable[..., dict[str, Any]],
    tasks: Mapping[Hashable, Task],
    executor: Executor | None,
    workers: int,
    hear: Hear,
    clock: Clock | None = None,
) -> bool:
    """Call `function` on the arguments of every task; `hear` each outcome as it comes.

    Parameters
    ----------
    executor : Executor, optional
        Anything with the standard interface; by default `workers` processes here.
    hear : callable
        Called in this thread with a task's key and its outcome. A task that broke
        whatever ran it, time after time, comes out as "failed".
    clock : Clock, optional
        When it is over, what is left is cancelled; processes of our own are ended at once.

    Returns
    -------
    bool
        False when it was stopped; what was not finished then was not heard of.
    """
    clock = Clock() if clock is None else clock
    if executor is not None:
        return _Run(function, tasks, executor, hear, clock).run()
    pool = OwnPool(max(1, min(workers, len(tasks))))
    done = False
    try:
        done = _Run(function, tasks, pool, hear, clock).run()
    finally:
        if done:
            pool.shutdown()
        else:
            pool.kill()
    return done


class _Run:
    def __init__(
        self,
        function: Callable[..., dict[str, Any]],
        tasks: Mapping[Hashable, Task],
        executor: Executor,
        hear: Hear,
        clock: Clock,
    ) -> None:
        self.clock = clock
        self.function, self.tasks, self.executor, self.hear = function, tasks, executor, hear
        self.waiting = deque(tasks)
        self.suspects: deque[Hashable] = deque()
        self.flying: dict[Future[dict[str, Any]], Hashable] = {}
        self.tries: dict[Hashable, int] = {}

    def run(self) -> bool:
        try:
            while self.waiting or self.suspects or self.flying:
                if self.clock.over:
                    return False
                self._submit()
                finished, _ = wait(self.flying, LOOK_EVERY, return_when=FIRST_COMPLETED)
                self._take(finished)
            return True
        finally:  # stopped, or an error of whoever hears: nothing goes on that nobody wants
            for future in self.flying:
                future.cancel()

    def _submit(self) -> None:
        while self._room() and (self.waiting or self.suspects) and not self.clock.over:
            # What was running when a worker died is tried alone, to find the culprit.
            key = (self.waiting or self.suspects).popleft()
            self.tries[key] = self.tries.get(key, 0) + 1
            try:
                self.flying[self.executor.submit(self.function, *self.tasks[key])] = key
            except Exception as error:
                if isinstance(self.executor, OwnPool) and self.tries[key] < ATTEMPTS:
                    self.waiting.appendleft(key)
                    self._again()
                else:
                    self._failed(key, error)

    def _room(self) -> bool:
        if not isinstance(self.executor, OwnPool):
            return True
        if not self.waiting:
            return not self.flying
        return len(self.flying) < self.executor.workers

    def _take(self, finished: set[Future[dict[str, Any]]]) -> None:
        broken = False
        for future in [each for each in self.flying if each in finished]:  # as submitted
            if self.clock.over:
                return
            key = self.flying.pop(future)
            try:
                outcome = future.result()
            except (Exception, CancelledError) as error:
                broken = True
                if self.tries[key] < ATTEMPTS:
                    self.suspects.append(key)
                else:
                    self._failed(key, error)
            else:
                self.hear(key, outcome)
        if broken and isinstance(self.executor, OwnPool):
            self._again()

    def _again(self) -> None:
        """A worker of ours died, and the pool with it: begin anew with what was running."""
        assert isinstance(self.executor, OwnPool)
        for future, key in self.flying.items():
            if future.done() and not future.cancelled() and future.exception() is None:
                self.hear(key, future.result())
            else:
                self.suspects.append(key)
        self.flying.clear()
        self.executor.renew()

    def _failed(self, key: Hashable, error: BaseException) -> None:
        told = f"{type(error).__name__}: {error}".rstrip(": ")
        reason = f"what ran it broke down {self.tries[key]} times ({told})"
        self.hear(key, {"status": "failed", "reason": reason[:300]})
