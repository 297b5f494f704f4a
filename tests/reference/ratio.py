"""The least whole cycle time of a system of difference constraints.

The loops are compiled, as they are where brute force spends its time.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain

import numpy as np
from numba import njit

Constraint = tuple[int, int, int, int]
"""``(a, b, least, h)``: start of b minus start of a is at least ``least - h * T``."""


def least_period(
    nodes: int, constraints: Sequence[Constraint], low: int, below: int
) -> tuple[int, list[int]] | None:
    """The least whole T with ``low <= T < below`` that has a solution, and one.

    A cycle of constraints adds up to ``0 >= L - H*T``. At a T where it is broken, a
    cycle with H > 0 asks for T >= L/H, so T rises to that; one with H <= 0 stays broken
    for every larger T. At a whole T all bounds are whole, so starts can be whole too.
    """
    numbers = np.fromiter(chain.from_iterable(constraints), np.int64, 4 * len(constraints))
    rows = numbers.reshape(-1, 4)
    starts = np.zeros(nodes, dtype=np.int64)
    period = _raised(rows, low, below, starts)
    return None if period < 0 else (period, starts.tolist())


@njit(cache=True)
def _raised(rows: np.ndarray, low: int, below: int, starts: np.ndarray) -> int:
    """The least period, with least starts from 0 on in `starts`; -1 if there is none."""
    pushed_by = np.empty(len(starts), dtype=np.int64)
    period = low
    while period < below:
        last = _pushed_last(rows, period, starts, pushed_by)
        if last < 0:
            return period
        for _ in range(len(starts)):  # walk back until surely on the cycle
            last = rows[pushed_by[last], 0]
        length, height, node = 0, 0, last
        while True:
            length += rows[pushed_by[node], 2]
            height += rows[pushed_by[node], 3]
            node = rows[pushed_by[node], 0]
            if node == last:
                break
        if height <= 0:
            return -1
        period = -(-length // height)
    return -1


@njit(cache=True)
def _pushed_last(rows: np.ndarray, period: int, starts: np.ndarray, pushed_by: np.ndarray) -> int:
    """Bellman and Ford: a node still pushed after as many rounds as there are; -1 if none."""
    starts[:] = 0
    last = -1
    for _ in range(len(starts) + 1):
        last = -1
        for number in range(len(rows)):
            a, b = rows[number, 0], rows[number, 1]
            soonest = starts[a] + rows[number, 2] - rows[number, 3] * period
            if soonest > starts[b]:
                starts[b] = soonest
                pushed_by[b] = number
                last = b
        if last < 0:
            break
    return last
