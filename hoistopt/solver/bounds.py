"""Bounds on the cycle time that need no search."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import ceil

from ortools.graph.python.linear_sum_assignment import SimpleLinearSumAssignment

from ..base.clock import Clock
from ..instance import Instance, Move, Stay, Turnround

Turn = Callable[[Instance, Stay, Stay], int]

NEVER = 10**12
"""Ticks of what is impossible; longer than any cycle."""


def lower_bound(instance: Instance, clock: Clock | None = None) -> int:
    """Return the best of the bounds below, in ticks.

    Raises
    ------
    OutOfTime
        When the clock is over.
    """
    best = 1
    for bound in (tank_turn_bound, hoist_work_bound, return_bound):
        if clock is not None:
            clock.check()
        best = max(best, bound(instance))
    return best


def horizon(instance: Instance, clock: Clock | None = None) -> int:
    """Return a cycle time in ticks that no optimal schedule exceeds.

    For a fixed order of moves the least cycle time is the largest ratio of length to height over
    the circuits of the constraint graph. A circuit meets every move at most once, and no arc
    from a move is longer than what is summed here.

    Raises
    ------
    OutOfTime
        When the clock is over.
    """
    total = 0
    sources = {source for move in instance.moves for source in move.sources}
    for move in instance.moves:
        if clock is not None:
            clock.check()
        longest = max(route.duration for route in move.routes)
        away = max(instance.empty[target][source] for target in move.targets for source in sources)
        stay = instance.stay_after.get(move.index)
        total += longest + max(away, stay.least if stay else 0, longest_rest(instance, move))
    for chain in instance.turnrounds:
        # A spacing chain runs between ends or starts, so durations may come on top.
        for source, lags in zip(chain.sources, chain.lags, strict=True):
            move = instance.moves[source]
            total += max(lags) + max(route.duration for route in move.routes)
    return total


def tank_turn_bound(instance: Instance, turn: Turn | None = None) -> int:
    """Return the least time, per place, in which groups of tanks can serve their stays, in ticks.

    Between two carriers in one place the hoist takes the first out, comes back from wherever
    it set it down, and brings the next, once the place has rested. A tank of one place has the
    same stays in every cycle, so of any k times as many stays as there are tanks, and one, some
    tank has k + 1: of the longest ones at least the shortest k + 1 of these.

    Parameters
    ----------
    turn : callable, optional
        Least time in which a place is free between two stays, in ticks; by default that of
        one hoist.
    """
    best = 0
    for inside, capacity, turns in turn_costs(instance, turn):
        work = sum(stay.least for stay in inside) + cheapest_assignment(turns)
        best = max(best, -(-work // capacity))
        places = {place for stay in inside for place in stay.places}
        if all(instance.places[place].capacity == 1 for place in places):
            alone = sorted(
                (stay.least + min(row[i] for row in turns) for i, stay in enumerate(inside)),
                reverse=True,
            )
            for last in range(0, len(inside), capacity):
                together = last // capacity + 1
                best = max(best, sum(alone[last + 1 - together : last + 1]))
    return best


def turn_costs(
    instance: Instance, turn: Turn | None = None
) -> Iterator[tuple[list[Stay], int, list[list[int]]]]:
    """Yield stays that have only the tanks of one group, its places, and the times of turns.

    ``turns[i][j]`` is the least time in which a place is free between stays i and j, in ticks.
    """
    for group in dict.fromkeys(frozenset(stay.places) for stay in instance.stays):
        capacities = [instance.places[place].capacity for place in group]
        if None in capacities:
            continue
        inside = [stay for stay in instance.stays if group.issuperset(stay.places)]
        free = turn or _turn
        turns = [
            [max(free(instance, x, y), least_rest(instance, x, y)) for y in inside] for x in inside
        ]
        yield inside, sum(capacity or 0 for capacity in capacities), turns


def return_bound(instance: Instance) -> int:
    """Return the least time for the turn of carriers at the ends, per place held, in ticks."""
    best = 0
    for chain, lags in return_costs(instance):
        assert chain.most is not None
        best = max(best, -(-cheapest_assignment(lags) // chain.most))
    return best


def return_costs(instance: Instance) -> Iterator[tuple[Turnround, list[list[int]]]]:
    """Yield turns of carriers that hold a place, and how long each takes at least, in ticks."""
    for chain in instance.turnrounds:
        if chain.most is None:
            continue
        lags = [list(row) for row in chain.lags]
        if chain.place is not None:
            # The slot is free from a lift until the next set down.
            for i in range(len(chain.sources)):
                for j, target in enumerate(chain.targets):
                    lags[i][j] += min(
                        instance.gaps[target][back] + instance.moves[back].shortest
                        for back in chain.sources
                    )
        yield chain, lags


def hoist_work_bound(instance: Instance) -> int:
    """Return the least time of hoist work in a cycle, in ticks.

    An assignment: the cheapest way to give every move a next one. Going straight on with the
    load just set down takes its minimum dwell at least.
    """
    return cheapest_assignment(succession_costs(instance))


def succession_costs(instance: Instance) -> list[list[int]]:
    """``costs[a][b]``: least time from the start of move a to that of b when b is next.

    Moves that cannot follow one another cost more than any cycle.
    """
    return [[_succession(instance, a, b) for b in instance.moves] for a in instance.moves]


def _succession(instance: Instance, a: Move, b: Move) -> int:
    gap = instance.gaps[a.index][b.index]
    if a.index == b.index:
        return gap if len(instance.moves) == 1 else NEVER
    if not instance.helped and _twice_at_a_tank(instance, a, b):
        return NEVER
    stay = instance.stay_after.get(a.index)
    before = instance.stay_before.get(b.index)
    if stay is None or before is None:
        return gap
    if stay.index == before.index:
        if all(instance.places[place].capacity == 1 for place in stay.places):
            return max(gap, a.shortest + stay.least)
        return gap
    if stay.places == before.places and len(stay.places) == 1:
        # What is lifted next from a tank of one place is what was just set down.
        return NEVER if instance.places[stay.places[0]].capacity == 1 else gap
    return gap


def _twice_at_a_tank(instance: Instance, a: Move, b: Move) -> bool:
    """Whether both moves bring a load to, or both take one from, one and the same place."""
    for ends in (instance.stay_after, instance.stay_before):
        one, other = ends.get(a.index), ends.get(b.index)
        if one is None or other is None or one.places != other.places or len(one.places) > 1:
            continue
        if instance.places[one.places[0]].capacity == 1:
            return True
    return False


def _turn(instance: Instance, before: Stay, after: Stay) -> int:
    out, back = before.departure, after.arrival
    if out == back:
        return 0
    return instance.gaps[out][back] + instance.moves[back].shortest


def least_rest(instance: Instance, before: Stay, after: Stay) -> int:
    """Return the least time in which a place that both stays may have rests between them, in ticks.

    From the start of the move out of the one to the planned end of that into the other; 0 where
    they share no place, or may share one that does not rest.
    """
    out, back = instance.moves[before.departure], instance.moves[after.arrival]
    if out.index == back.index:
        return 0
    found = [
        instance.places[into.target].resting(into, away)
        for into in back.routes
        for away in out.routes
        if into.target == away.source
    ]
    return min(found, default=0)


def longest_rest(instance: Instance, move: Move) -> int:
    """Return more ticks than any rest after a move lifts, counted to the start of the next."""
    pads = 2 * max((route.pad for other in instance.moves for route in other.routes), default=0)
    rests = [instance.places[place].rest for place in move.sources]
    return max((ceil(rest) + 1 + pads for rest in rests if rest), default=0)


def cheapest_assignment(costs: list[list[int]]) -> int:
    """Return what it costs at the least to give every row a column of its own, in ticks.

    0 where there is no way.
    """
    if not costs:
        return 0
    solver = SimpleLinearSumAssignment()
    for row, line in enumerate(costs):
        for column, cost in enumerate(line):
            if cost < NEVER:
                solver.add_arc_with_cost(row, column, cost)
    if solver.solve() != solver.OPTIMAL:
        return 0
    return int(solver.optimal_cost())
