"""The schedule that every line has: one load at a time, from end to end.

The hoist waits at every tank for the least dwell and goes on with the same load. No window
can be broken so, and no place is ever taken; only a limit on the cycle time can forbid it, or a
load that comes back to a tank which has not rested.
It is poor, but it takes no search and no model, so that lines of any size have a schedule
from the first moment.
"""

from __future__ import annotations

from ....instance import Instance, Move, Route
from ....schedule import Schedule, Step
from ...bounds import longest_rest


def one_by_one(instance: Instance) -> Schedule | None:
    """The loads of a cycle one after another, each alone on the line.

    Returns
    -------
    Schedule or None
        None where the longest cycle time allowed forbids it, where a rounded-up minimum lies
        above a rounded-down maximum, where no tanks lead a load from end to end, or where it
        comes back to a tank too soon and may not wait for its rest.
    """
    away = max((max(row) for row in instance.empty), default=0)
    # Whatever is asked for between two carriers at an end of the line is kept by waiting.
    lags = [lag for chain in instance.turnrounds for row in chain.lags for lag in row]
    rests = [longest_rest(instance, move) for move in instance.moves]
    between = max([away, *(lag + 1 for lag in lags), *rests])
    steps: list[Step] = []
    now = 0
    for job in range(instance.jobs):
        moves = sorted(
            (move for move in instance.moves if move.job == job), key=lambda move: move.stage
        )
        ways = _ways(moves)
        if ways is None:
            return None
        lifted: dict[int, list[tuple[int, Route]]] = {}
        for move, route in zip(moves, ways, strict=True):
            stay = instance.stay_before.get(move.index)
            if stay is not None:
                shaved = ways[move.stage - 1].shaved
                dwell = max(stay.least, _rested(instance, lifted, route) - now)
                if stay.most is not None and dwell > stay.most - shaved:
                    return None
                now += dwell
                lifted.setdefault(route.source, []).append((now, route))
            steps.append(
                Step(
                    start=now,
                    source=instance.places[route.source].name,
                    target=instance.places[route.target].name,
                    recipe=instance.recipes[job],
                    load=job + 1,
                    stage=move.stage,
                    boundaries=None if stay is None else 0,
                )
            )
            now += route.duration
        now += between
    cycle = max(now, instance.shortest)
    if instance.longest is not None and cycle > instance.longest:
        return None
    return Schedule(cycle, instance.ticks_per_unit, tuple(steps))


def _rested(instance: Instance, lifted: dict[int, list[tuple[int, Route]]], route: Route) -> int:
    """When a move may start for the rest of the place that a load comes back to; else 0."""
    place, before = instance.places[route.target], lifted.get(route.target, [])
    if place.capacity is None or len(before) < place.capacity:
        return 0
    time, out = before[-place.capacity]
    return time + place.resting(route, out) - route.duration


def _ways(moves: list[Move]) -> list[Route] | None:
    """A way for every move of a load, each from where the one before ends."""
    reached: dict[int, list[Route]] = {}
    for number, move in enumerate(moves):
        further: dict[int, list[Route]] = {}
        for route in move.routes:
            before = [] if number == 0 else reached.get(route.source)
            if before is not None and route.target not in further:
                further[route.target] = [*before, route]
        reached = further
    return next(iter(reached.values()), None)
