"""Work in threads: as if done one after another, and not far ahead."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator

import pytest

from hoistopt.solver.cyclic.track.threads import Threads


@pytest.mark.parametrize("count", [1, 2, 5])
def test_what_is_made_comes_in_order(count: int) -> None:
    threads = Threads(count)

    def slower_at_first(item: int) -> int:
        time.sleep(0.02 if item < 3 else 0)
        return item * item

    try:
        assert list(threads.each(slower_at_first, range(20))) == [(k, k * k) for k in range(20)]
        assert list(threads.each(slower_at_first, [])) == []
    finally:
        threads.close()


def test_work_is_done_at_the_same_time() -> None:
    threads = Threads(2)
    both = threading.Barrier(2, timeout=30)
    try:
        assert len(list(threads.each(lambda item: both.wait(), range(2)))) == 2
    finally:
        threads.close()


@pytest.mark.parametrize("count", [1, 3])
def test_few_items_are_taken_ahead_and_none_after_it_is_left(count: int) -> None:
    taken = []

    def items() -> Iterator[int]:
        for item in range(1000):
            taken.append(item)
            yield item

    threads = Threads(count)
    try:
        work = threads.each(lambda item: item, items())
        assert next(work) == (0, 0)
        assert len(taken) <= 2 * count
        work.close()  # type: ignore[attr-defined]
        before = len(taken)
    finally:
        threads.close()
    assert len(taken) == before


@pytest.mark.parametrize("count", [1, 3])
def test_what_goes_wrong_in_a_thread_is_told(count: int) -> None:
    threads = Threads(count)
    try:
        with pytest.raises(ZeroDivisionError):
            list(threads.each(lambda item: 1 // item, [2, 1, 0]))
    finally:
        threads.close()
