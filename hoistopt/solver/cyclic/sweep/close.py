"""Close the gap between bound and best schedule by sweeps."""

from __future__ import annotations

from collections.abc import Callable

from ....instance import Instance
from ..incumbent import Incumbent, longest_of_interest
from ..order import Evaluate, any_better
from .outline import MOST_MOVES
from .run import sweep

WIDTHS = (200, 1500)
MARGINS = (0.03, 0.06, 0.12, 0.25, 0.5)
"""How far above the bound promising sequences may end, tried one after the other."""
TRIED = 12
STEPS = 6


def can_sweep(instance: Instance) -> bool:
    """Whether sweeps are worth trying: one load a cycle, and not too many moves."""
    return instance.jobs == 1 and 2 <= len(instance.moves) <= MOST_MOVES


def close_gap(
    instance: Instance,
    incumbent: Incumbent,
    evaluate: Evaluate,
    stop: Callable[[], bool],
    between: Callable[[], None] = lambda: None,
) -> None:
    """Look for better schedules, then raise the bound towards the best.

    Parameters
    ----------
    incumbent : Incumbent
        Where the search stands; improved in place.
    evaluate : callable
        Gives an order of moves its least cycle time and keeps the schedule if it is
        the best; None where the order has none better.
    stop : callable
        Whether time is up.
    between : callable, optional
        Called before every sweep that is to raise the bound, to look for better schedules
        in other ways.
    """
    _improve(instance, incumbent, evaluate, stop)
    _prove(instance, incumbent, evaluate, stop, between)


def _improve(
    instance: Instance,
    incumbent: Incumbent,
    evaluate: Evaluate,
    stop: Callable[[], bool],
) -> None:
    """Sweeps of the most promising sequences only."""
    for width in WIDTHS:
        for margin in MARGINS:
            limit = min(
                longest_of_interest(instance, incumbent), round(incumbent.bound * (1 + margin))
            )
            if stop() or limit <= incumbent.bound:
                return
            swept = sweep(instance, incumbent.bound, limit, width=width, stop=stop)
            if any_better(swept.orders[:TRIED], evaluate, stop):
                break


def _prove(
    instance: Instance,
    incumbent: Incumbent,
    evaluate: Evaluate,
    stop: Callable[[], bool],
    between: Callable[[], None],
) -> None:
    """Exhaustive sweeps up to limits that rise from the bound to the best schedule."""
    step = max(1, -(-(longest_of_interest(instance, incumbent) - incumbent.bound) // STEPS))
    while not stop():
        between()
        top = longest_of_interest(instance, incumbent)
        low, limit = incumbent.bound, min(top, incumbent.bound + step)
        if limit < low:
            return
        swept = sweep(instance, low, limit, stop=stop)
        if not swept.complete:
            if step == 1 or limit == low:
                return
            step = max(1, step // 3)
            continue
        incumbent.improve(None, swept.bound)
        if swept.bound > limit or any_better(swept.orders[:TRIED], evaluate, stop):
            continue
        if swept.bound == low:
            # What seemed possible at this cycle time is not, or is only so at this one.
            alone = sweep(instance, low, low, stop=stop)
            if not alone.complete:
                return
            if not alone.orders:
                incumbent.improve(None, low + 1)
            elif not any_better(alone.orders[:TRIED], evaluate, stop):
                return
