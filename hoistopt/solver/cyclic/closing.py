"""What every way of closing the gap between bound and best schedule needs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from ...instance import Instance
from ..bounds import horizon
from .standing import Standing

Evaluate = Callable[[Sequence[int]], int | None]
"""Gives an order of moves its least cycle time and keeps the schedule if it is the best;
None where the order has none better."""


def longest_of_interest(instance: Instance, standing: Standing) -> int:
    """The longest cycle time still of interest, in ticks."""
    tops = [horizon(instance)]
    if standing.best is not None:
        tops.append(standing.best - 1)
    if instance.longest is not None:
        tops.append(instance.longest)
    return min(tops)


def any_better(
    orders: Iterable[Sequence[int]], evaluate: Evaluate, stop: Callable[[], bool]
) -> bool:
    """Whether any of the orders gives a better schedule; the best of them is kept."""
    better = False
    for order in orders:
        if stop():
            break
        better |= evaluate(order) is not None
    return better
