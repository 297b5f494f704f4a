"""Build move sequences layer by layer: all of them, or a beam of the most promising."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ....instance import Instance
from .completion import CompletionBound
from .extend import Extender
from .relaxation import relax
from .states import States

_ROWS_AT_ONCE = 10_000


@dataclass(frozen=True)
class Sequences:
    """The sequences that may keep a limit on the cycle time.

    Attributes
    ----------
    bound : int
        Ticks that no schedule's cycle is shorter than, if none within the limit is; one above
        the limit where no sequence keeps it. If not complete, the lowest time looked at.
    orders : list of tuple of int
        Moves in order, the most promising sequence first.
    complete : bool
        Whether every sequence within the limit was built.
    """

    bound: int
    orders: list[tuple[int, ...]]
    complete: bool


def build_sequences(
    instance: Instance,
    lowest: int,
    limit: int,
    *,
    width: int | None = None,
    most_states: int = 600_000,
    stop: Callable[[], bool] = lambda: False,
) -> Sequences:
    """Build the move sequences of a cycle that may keep a limit, one move at a time.

    Dynamic programming over sets of moves, as Held and Karp (1962, Journal of SIAM 10,
    196-210) did for tours, with bounds. With a `width` it is a beam search.

    Parameters
    ----------
    instance : Instance
        Rules that the relaxation leaves out may be broken, so bounds hold for any instance.
    lowest, limit : int
        Cycle times in ticks, from the least to the greatest that count.
    width : int, optional
        States kept of each layer, those with the least bounds. Nothing is proved then.
    most_states : int
        States of a layer before equal ones go on as one; with more it gives up. With a `width`,
        a hundred times as many.
    stop : callable
        Asked now and then whether to give up.
    """
    relaxation = relax(instance)
    extender = Extender(relaxation, CompletionBound(instance, relaxation), lowest, limit)
    states = extender.start()
    for _ in range(1, relaxation.moves):
        grown: list[States] = []
        rows = 0
        for first in range(0, len(states), _ROWS_AT_ONCE):
            some = np.arange(first, min(first + _ROWS_AT_ONCE, len(states)))
            grown += extender.successors(states.take(some))
            rows = sum(map(len, grown))
            if stop() or rows > most_states * (1 if width is None else 100):
                return Sequences(lowest, [], False)
        if not rows:
            return Sequences(limit + 1 if width is None else lowest, [], width is None)
        states = States.joined(grown).distinct()
        if width is not None and len(states) > width:
            states = states.take(np.argsort(states.bound, kind="stable")[:width])
    cycles = np.maximum(states.at + relaxation.tail[states.last], states.bound)
    best = np.argsort(cycles, kind="stable")
    orders = [tuple(int(move) for move in states.sequence[row]) for row in best[:200]]
    return Sequences(int(cycles[best[0]]) if width is None else lowest, orders, width is None)
