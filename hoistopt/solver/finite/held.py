"""Moves that a model holds while others are free."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ...instance.finite import FiniteInstance


@dataclass(frozen=True)
class Held:
    """Moves that are not free: those that keep their starts, and those brought forward alike.

    Attributes
    ----------
    kept, later : mapping of int to int
        Starts by move; all of `later` are brought forward by one and the same time. Each has
        one route. A move kept comes before every later one.
    most : int
        Ticks by which the later ones are brought forward at the most.
    low, high : int
        Between which the free moves start.
    """

    kept: Mapping[int, int]
    later: Mapping[int, int]
    most: int
    low: int
    high: int


def spans_of(
    instance: FiniteInstance, horizon: int, held: Held | None = None
) -> list[tuple[int, int]]:
    """Between which each move can start at all: its load's windows, and what is held.

    Parameters
    ----------
    horizon : int
        No move ends later, or the cycle is joined no later, in ticks.
    """
    span = []
    first = {load.moves[0]: load for load in instance.loads}
    tied, promised = instance.tied, instance.promised
    for move in instance.moves:
        if move.index in tied:
            span.append((0, horizon + tied[move.index]))
            continue
        if (given := promised.get(move.index)) is not None:
            span.append((given, given))
            continue
        load = first.get(move.index)
        low = 0 if load is None else max(0, load.earliest)
        high = horizon - move.shortest
        if tied and instance.several is not None:
            high = horizon - 1  # before the joining it begins, and need not be over
        if load is not None and load.latest is not None:
            high = min(high, load.latest)
        if held is not None:
            if (kept := held.kept.get(move.index)) is not None:
                low = high = kept
            elif (later := held.later.get(move.index)) is not None:
                low, high = max(low, later - held.most), later
            else:
                low, high = max(low, held.low), min(high, held.high)
        span.append((low, high))
    _in_time(instance, span)
    for stay in instance.stays:  # in the order of their loads' ways
        if stay.departure in tied or stay.departure in promised:
            continue
        into, out = instance.moves[stay.arrival], stay.departure
        low = max(span[out][0], span[stay.arrival][0] + into.shortest + stay.least)
        high = span[out][1]
        if stay.most is not None:
            longest = max(route.duration for route in into.routes)
            high = min(high, span[stay.arrival][1] + longest + stay.most)
        span[out] = low, high
    for stay in reversed(instance.stays):
        if stay.arrival in tied or stay.arrival in promised:
            continue
        into = instance.moves[stay.arrival]
        high = min(span[into.index][1], span[stay.departure][1] - into.shortest - stay.least)
        span[into.index] = span[into.index][0], high
    return span


def _in_time(instance: FiniteInstance, span: list[tuple[int, int]]) -> None:
    """Narrow when loads with due times are out, where all lateness may be so much at the most."""
    if instance.late_most is None:
        return
    for load in instance.loads:
        outlet = instance.outlet(load)
        if load.due is None or outlet is None or not load.weight or instance.is_promised(load):
            continue
        low, high = span[outlet]
        last = load.due + instance.late_most // load.weight - instance.moves[outlet].shortest
        span[outlet] = low, min(high, last)
