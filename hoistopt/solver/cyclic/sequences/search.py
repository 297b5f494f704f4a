"""Close the gap between bound and incumbent by building move sequences."""

from __future__ import annotations

from collections.abc import Callable

from ....instance import Instance
from ..incumbent import Incumbent, longest_of_interest
from ..order import Evaluate, any_better
from .beam import build_sequences
from .relaxation import MOST_MOVES

WIDTHS = (200, 1500)
"""Beam widths, tried one after the other."""

MARGINS = (0.03, 0.06, 0.12, 0.25, 0.5)
"""Parts of the bound by which a beam search's limit is above it, tried one after the other."""

TRIED = 12
"""Sequences given their least cycle time, of those that a search ends with."""

STEPS = 6
"""Limits from the bound to the incumbent, at first, that all sequences are built for."""


def can_search_sequences(instance: Instance) -> bool:
    """Return whether it is worth trying: for one load a cycle, and not too many moves."""
    return instance.jobs == 1 and 2 <= len(instance.moves) <= MOST_MOVES


def search_sequences(
    instance: Instance,
    incumbent: Incumbent,
    evaluate: Evaluate,
    stop: Callable[[], bool],
    between: Callable[[], None] = lambda: None,
) -> None:
    """Look for better schedules by beam searches, then raise the bound towards the best.

    Parameters
    ----------
    incumbent : Incumbent
        Improved in place.
    evaluate : callable
        Returns the least cycle time of an order of moves and keeps the schedule; None where
        the order has none better than the incumbent.
    stop : callable
        Returns whether time is up.
    between : callable, optional
        Called before all sequences of a limit are built, to look for better schedules in
        other ways.
    """
    _improve(instance, incumbent, evaluate, stop)
    _prove(instance, incumbent, evaluate, stop, between)


def _improve(
    instance: Instance,
    incumbent: Incumbent,
    evaluate: Evaluate,
    stop: Callable[[], bool],
) -> None:
    """Run beam searches, wider and with higher limits each time, until one is of use."""
    for width in WIDTHS:
        for margin in MARGINS:
            limit = min(
                longest_of_interest(instance, incumbent), round(incumbent.bound * (1 + margin))
            )
            if stop() or limit <= incumbent.bound:
                return
            built = build_sequences(instance, incumbent.bound, limit, width=width, stop=stop)
            if any_better(built.orders[:TRIED], evaluate, stop):
                break


def _prove(
    instance: Instance,
    incumbent: Incumbent,
    evaluate: Evaluate,
    stop: Callable[[], bool],
    between: Callable[[], None],
) -> None:
    """Build all sequences for limits that rise from the bound to the incumbent."""
    step = max(1, -(-(longest_of_interest(instance, incumbent) - incumbent.bound) // STEPS))
    while not stop():
        between()
        top = longest_of_interest(instance, incumbent)
        low, limit = incumbent.bound, min(top, incumbent.bound + step)
        if limit < low:
            return
        built = build_sequences(instance, low, limit, stop=stop)
        if not built.complete:
            if step == 1 or limit == low:
                return
            step = max(1, step // 3)
            continue
        incumbent.improve(None, built.bound)
        if built.bound > limit or any_better(built.orders[:TRIED], evaluate, stop):
            continue
        if built.bound == low:
            # One seems to reach the bound: look at that cycle time alone, where rules are tightest.
            alone = build_sequences(instance, low, low, stop=stop)
            if not alone.complete:
                return
            if not alone.orders:
                incumbent.improve(None, low + 1)
            elif not any_better(alone.orders[:TRIED], evaluate, stop):
                return
