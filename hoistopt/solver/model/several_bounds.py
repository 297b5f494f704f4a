"""Bounds on the cycle time of several hoists that need no search."""

from __future__ import annotations

from dataclasses import replace

from ...base.clock import Clock
from ...instance import Instance, Move, Route, Several, Stay
from ...instance.several import Asked
from ..bounds import NEVER, cheapest_assignment, longest_rest, tank_turn_bound
from .constraints.several import apart


def lower_bound(instance: Instance, clock: Clock | None = None) -> int:
    """Return the best of the bounds below, in ticks.

    Raises
    ------
    OutOfTime
        When the clock is over.
    """
    instance = asking(instance, "least")
    best = max(1, instance.shortest)
    for bound in (_longest_move, tank_turns, hoist_work):
        if clock is not None:
            clock.check()
        best = max(best, bound(instance))
    return best


def asking(instance: Instance, asked: Asked) -> Instance:
    """The instance with hoists that ask for that of one another; itself where it is all one."""
    several = _of(instance)
    asks = several.asking(asked)
    return instance if asks is several else replace(instance, several=asks)


def horizon(instance: Instance) -> int:
    """Return a cycle time in ticks that no optimal schedule exceeds.

    As for one hoist (:func:`hoistopt.solver.bounds.horizon`): for a fixed order and choice of
    hoists a circuit of arcs meets every move at most once, and no arc from a move is longer
    than what is summed here.
    """
    several = _of(instance)
    away = max(max(row) for empty in several.empties for row in empty)
    corners = [
        position
        for move in instance.moves
        for route in move.routes
        if route.path is not None
        for _, position in (*route.path.low, *route.path.high)
    ]
    short = max(corners) - min(corners) + (len(several) - 1) * several.clearance
    way = short * max(several.slowness) + max(several.getting_up)
    away = max(away, way.__ceil__())
    total = 0
    for move in instance.moves:
        stay = instance.stay_after.get(move.index)
        longest = max(route.duration + route.pad for route in move.routes)
        total += longest + max(away, stay.least if stay else 0, longest_rest(instance, move))
    for chain in instance.turnrounds:
        for source, lags in zip(chain.sources, chain.lags, strict=True):
            total += max(lags) + max(route.duration for route in instance.moves[source].routes)
    return max(total, instance.shortest)


def _of(instance: Instance) -> Several:
    assert instance.several is not None
    return instance.several


def _longest_move(instance: Instance) -> int:
    """The hoist that makes a move makes it again a cycle later, from where it began."""
    several = _of(instance)
    return max(
        min(several.next_move(r.hoist, r.exact, r.target, r.source) for r in move.routes)
        for move in instance.moves
    )


def hoist_work(instance: Instance) -> int:
    """All moves, each with the empty travel to a next one of the same hoist, shared out."""
    return -(-cheapest_assignment(succession_costs(instance)) // len(_of(instance)))


def succession_costs(instance: Instance) -> list[list[int]]:
    """Of every two moves the least time from one to a next one by the same hoist."""
    several = _of(instance)
    first: dict[tuple[Route, ...], int] = {}  # loads of one recipe make the same moves
    alike = [first.setdefault(move.routes, move.index) for move in instance.moves]
    costs = {
        (a, b): _next(several, instance.moves[a], instance.moves[b])
        for a in first.values()
        for b in first.values()
    }
    return [[costs[a, b] for b in alike] for a in alike]


def _next(several: Several, a: Move, b: Move) -> int:
    """Least time from the start of a move to that of a next one by the same hoist."""
    return min(
        (
            several.next_move(one.hoist, one.exact, one.target, other.source)
            for one in a.routes
            for other in b.routes
            if one.hoist == other.hoist
        ),
        default=NEVER,
    )


def tank_turns(instance: Instance) -> int:
    """Dwells in the tanks of a group, and from each the least time until the next begins."""
    return tank_turn_bound(instance, _turn)


def _turn(instance: Instance, before: Stay, after: Stay) -> int:
    """Least time from a load's being lifted out of a tank to the next one's being set down."""
    several = _of(instance)
    out, back = instance.moves[before.departure], instance.moves[after.arrival]
    if out.index == back.index:
        return 0
    least = NEVER
    for one in out.routes:
        for other in back.routes:
            if other.target != one.source:
                continue
            asked = apart(several, one, other)
            # The next load is set down after this one was lifted, so this move comes first;
            # the next one may all the same have begun before it.
            least = min(least, 0 if asked is None else max(0, asked[1] + other.duration))
    return 0 if least == NEVER else least
