"""Sweep through move sequences, all of them or the most promising ones."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ....instance import Instance
from .extend import Extender
from .outline import outline
from .states import States
from .track import Outlook

_ROWS_AT_ONCE = 10_000


@dataclass(frozen=True)
class Swept:
    """What a sweep found.

    Attributes
    ----------
    bound : int
        No schedule within the limit has a shorter cycle; one above the limit where the
        limit cannot be kept. The lowest bound known before, if the sweep was cut short.
    orders : list of tuple of int
        Move sequences that may keep the limit, the most promising first.
    complete : bool
        Whether every sequence within the limit was looked at.
    """

    bound: int
    orders: list[tuple[int, ...]]
    complete: bool


def sweep(
    instance: Instance,
    lowest: int,
    limit: int,
    *,
    width: int | None = None,
    most_rows: int = 600_000,
    stop: Callable[[], bool] = lambda: False,
) -> Swept:
    """Build all move sequences of a cycle, one move at a time, that may keep a limit.

    Dynamic programming over sets of moves, as Held and Karp (1962) did for tours, with
    bounds: partial sequences with the same moves done, the same last move and the same
    windows for what remains go on as one.

    Parameters
    ----------
    instance : Instance
        Any; rules the sweep does not know are left out, so bounds stay valid.
    lowest, limit : int
        Cycle times, in ticks, between which to look.
    width : int, optional
        Keep only so many of the most promising partial sequences: quick, no bound.
    most_rows : int
        Give up beyond so many partial sequences.
    stop : callable
        Asked now and then whether to give up.
    """
    line = outline(instance)
    extender = Extender(line, Outlook(instance, line), lowest, limit)
    states = extender.start()
    for _ in range(1, line.moves):
        grown: list[States] = []
        rows = 0
        for first in range(0, len(states), _ROWS_AT_ONCE):
            some = np.arange(first, min(first + _ROWS_AT_ONCE, len(states)))
            grown += extender.extended(states.take(some))
            rows = sum(map(len, grown))
            if stop() or rows > most_rows * (1 if width is None else 100):
                return Swept(lowest, [], False)
        if not rows:
            return Swept(limit + 1 if width is None else lowest, [], width is None)
        states = States.joined(grown).distinct()
        if width is not None and len(states) > width:
            states = states.take(np.argsort(states.bound, kind="stable")[:width])
    cycles = np.maximum(states.at + line.tail[states.last], states.bound)
    best = np.argsort(cycles, kind="stable")
    orders = [tuple(int(move) for move in states.trail[row]) for row in best[:200]]
    return Swept(int(cycles[best[0]]) if width is None else lowest, orders, width is None)
