"""Work done in threads, the outcome as if it were done one after another."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from itertools import islice
from typing import TypeVar

_AHEAD = 2
"""So many items for each thread are begun before the first of them is asked for."""

_Item = TypeVar("_Item")
_Made = TypeVar("_Made")


class Threads:
    """So many threads; with one, work is done where it is asked for."""

    def __init__(self, count: int) -> None:
        self._count = count
        self._pool = ThreadPoolExecutor(count) if count > 1 else None

    def each(
        self, make: Callable[[_Item], _Made], items: Iterable[_Item]
    ) -> Iterator[tuple[_Item, _Made]]:
        """Each item and what is made of it, in their order; few are begun ahead."""
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
        """End them."""
        if self._pool is not None:
            self._pool.shutdown()
