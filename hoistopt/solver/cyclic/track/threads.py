"""Do work in threads, with results in the order of the work."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from itertools import islice
from typing import TypeVar

from ...compiling import current_guard, use_guard

_AHEAD = 2
"""Items begun for each thread before the first of their results is asked for."""

_Item = TypeVar("_Item")
_Made = TypeVar("_Made")


class Threads:
    """A number of threads. With one, work is done in the thread that asks for it."""

    def __init__(self, count: int) -> None:
        self._count = count
        self._pool = None
        if count > 1:
            guard = current_guard()
            self._pool = ThreadPoolExecutor(count, initializer=use_guard, initargs=(guard,))

    def each(
        self, make: Callable[[_Item], _Made], items: Iterable[_Item]
    ) -> Iterator[tuple[_Item, _Made]]:
        """Yield each item and what `make` makes of it, in order.

        Few items are taken ahead. What `make` raises is raised here; items that are then
        begun already are finished, and their results lost.
        """
        if self._pool is None:
            for item in items:
                yield item, make(item)
            return
        left = iter(items)
        begun: deque[tuple[_Item, Future[_Made]]] = deque()
        try:
            while True:
                for item in islice(left, _AHEAD * self._count - len(begun)):
                    begun.append((item, self._pool.submit(make, item)))
                if not begun:
                    return
                item, made = begun.popleft()
                yield item, made.result()
        finally:
            for _, made in begun:
                made.cancel()

    def close(self) -> None:
        """End the threads, after the work that they have begun."""
        if self._pool is not None:
            self._pool.shutdown()
