"""Bounds on the finish that need no search, and a time by which all can be done."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import ceil

from ortools.graph.python.min_cost_flow import SimpleMinCostFlow

from ...instance.finite import FiniteInstance, FiniteLoad
from ...instance.join import Join
from ..model.constraints.several import apart


def lower_bound(instance: FiniteInstance) -> int:
    """The best of the bounds below, in ticks.

    Each is one of the loads whose times are not given; what is promised only takes room.
    """
    loads = [load for load in instance.loads if not instance.is_promised(load)]
    best = max([instance.promised_out, *(sum(_way(instance, load)) for load in loads)])
    return max(best, _hoist_bound(instance, loads), *(_place_bounds(instance, loads) or [0]))


def _way(instance: FiniteInstance, load: FiniteLoad) -> tuple[int, int]:
    """When a load can move first, and the least time from there until it is through."""
    first = instance.moves[load.moves[0]]
    begins = max(0, load.earliest)
    if instance.hoist is not None:
        begins = max(begins, min(instance.hoist[source] for source in first.sources))
    begins = instance.soonest(first, begins)
    return begins, _rest(instance, load, 0)


def _rest(instance: FiniteInstance, load: FiniteLoad, place: int) -> int:
    """Least time from the start of a load's move, by its place in the way, to its end."""
    total = 0
    for index in load.moves[place:]:
        stay = instance.stay_after.get(index)
        total += instance.moves[index].shortest + (stay.least if stay is not None else 0)
    return total


def late_bound(instance: FiniteInstance) -> int:
    """Weighted lateness that no programme falls below: each load takes its least times."""
    total = 0
    for load in instance.loads:
        outlet = instance.outlet(load)
        if load.due is None or outlet is None:
            continue
        out = sum(_way(instance, load)) - _rest(instance, load, load.moves.index(outlet) + 1)
        stay = instance.stay_after.get(outlet)
        out -= 0 if stay is None else stay.least
        total += load.weight * max(0, out - load.due)
    return total


def _hoist_bound(instance: FiniteInstance, loads: Sequence[FiniteLoad]) -> int:
    """The hoists make all moves, each its own one after another, with the least empty travel
    in between.

    Every move but the last of each hoist is followed by another one: the cheapest way to give
    each a next one. Where that lifts from the tank that was just filled, of one place, it waits
    for the least dwell.
    """
    moves = [instance.moves[index] for load in loads for index in load.moves]
    if not moves:
        return 0
    targets = Counter(move.targets for move in moves)
    sources = Counter(move.sources for move in moves)
    flow, sink = SimpleMinCostFlow(), len(targets) + len(sources) + 1
    waits = _waits(instance)
    for a, (ends, count) in enumerate(targets.items(), start=1):
        flow.add_arc_with_capacity_and_unit_cost(0, a, count, 0)
        for b, begins in enumerate(sources, start=len(targets) + 1):
            cost = min(
                waits.get(end, 0) if end == begin else instance.empty[end][begin]
                for end in ends
                for begin in begins
            )
            flow.add_arc_with_capacity_and_unit_cost(a, b, count, cost)
    for b, count in enumerate(sources.values(), start=len(targets) + 1):
        flow.add_arc_with_capacity_and_unit_cost(b, sink, count, 0)
    hoists = len({hoist for move in moves for hoist in move.hoists})
    followed = max(0, len(moves) - hoists)
    flow.set_nodes_supplies([0, sink], [followed, -followed])
    between = flow.optimal_cost() if flow.solve() == flow.OPTIMAL else 0
    first = min(_way(instance, load)[0] for load in loads)
    return first - (-(sum(move.shortest for move in moves) + between) // hoists)


def _waits(instance: FiniteInstance) -> dict[int, int]:
    """Least dwell at each tank of one place: whatever is set down there is lifted next there."""
    ends = {place for load in instance.loads for place in _outer(instance, load)}
    found: dict[int, int] = {}
    for stay in instance.stays:
        for place in stay.places:
            if instance.places[place].capacity == 1 and place not in ends:
                found[place] = min(found.get(place, stay.least), stay.least)
    return found


def _outer(instance: FiniteInstance, load: FiniteLoad) -> set[int]:
    """Where a load is put in and taken out by people."""
    first, last = instance.moves[load.moves[0]], instance.moves[load.moves[-1]]
    return {*(first.sources if load.enters else ()), *last.targets}


def _place_bounds(instance: FiniteInstance, loads: Sequence[FiniteLoad]) -> list[int]:
    """Tanks of one place that serve the same stages serve their loads one after another."""
    visits: dict[tuple[int, ...], list[tuple[int, int, int]]] = {}
    for load in loads:
        begins, whole = _way(instance, load)
        for place, index in enumerate(load.moves[:-1]):
            stay = instance.stay_after[index]
            if all(instance.places[tank].capacity == 1 for tank in stay.places):
                after = _rest(instance, load, place + 1)
                before = begins + whole - after - stay.least
                visits.setdefault(tuple(sorted(stay.places)), []).append(
                    (before, stay.least, after)
                )
    found = []
    for tanks, here in visits.items():
        turn = min(max(_turn(instance, tank), ceil(instance.places[tank].rest)) for tank in tanks)
        turns = max(0, len(here) - len(tanks)) * turn
        dwells = sum(least for _, least, _ in here)
        head, tail = min(before for before, _, _ in here), min(after for _, _, after in here)
        found.append(head - (-(dwells + turns) // len(tanks)) + tail)
    return found


def _turn(instance: FiniteInstance, tank: int) -> int:
    """Between two loads of a tank the hoist takes one out, fetches the other and brings it.

    Of several hoists another one may bring it, once the first is out of its way.
    """
    routes = [route for move in instance.moves for route in move.routes]
    if instance.several is not None:
        outs_by = dict.fromkeys(r for r in routes if r.source == tank)
        ins_by = dict.fromkeys(r for r in routes if r.target == tank)
        asked = ((apart(instance.several, a, b), b.duration) for a in outs_by for b in ins_by)
        return min((max(1, found[1] + more) for found, more in asked if found), default=0)
    outs = {(r.target, r.duration) for r in routes if r.source == tank}
    ins = {(r.source, r.duration) for r in routes if r.target == tank}
    return min(
        (out + instance.empty[to][begin] + into for to, out in outs for begin, into in ins),
        default=0,
    )


def horizon(instance: FiniteInstance) -> int:
    """A time by which some programme of least finish is over.

    Of earliest starts, given an order of the moves, each is held by a chain of demands that
    meets every move at most once, and no demand is longer than what is summed here.
    """
    longest_way = instance.reach
    total = max([0, *(load.earliest for load in instance.loads), *(instance.hoist or ())])
    barred = [instance.barred(route) for move in instance.moves for route in move.routes]
    total += max([0, *(last + 1 for spans in barred for _, last in spans)])
    total += max([0, *(max(map(max, end.ready)) for end in instance.ends)])
    total += instance.promised_out
    occupied = max([0, *(end.occupied for end in instance.ends), *instance.rests.values()]) + 1
    if instance.carriers is not None:
        stock = instance.carriers
        total += max([0, *stock.ready])
        occupied += max([0, *stock.ahead.values()]) + max([0, *stock.behind.values()])
    for move in instance.moves:
        stay = instance.stay_after.get(move.index)
        duration = max(route.duration for route in move.routes)
        total += duration + max(longest_way, stay.least if stay else 0, occupied)
    return total


def join_bound(instance: FiniteInstance) -> tuple[int, int]:
    """Bounds on the time in which no load comes out, 0 where that is not asked, and on the
    joining of a cycle: the figures of :func:`.times.value`."""
    join = instance.join
    assert join is not None
    moves = instance.moves
    if instance.several is not None:
        return 0, _several_join_bound(instance, join)
    begins = next(move for move, after in join.tied.items() if after == 0)
    first = moves[begins].routes[0].source
    least = 0 if instance.hoist is None else instance.hoist[first]
    free = [m for m in moves if m.index not in join.tied and m.index not in instance.promised]
    for move, time in instance.promised.items():
        route = moves[move].routes[0]
        least = max(least, time + route.duration + instance.empty[route.target][first])
    for load in instance.loads:
        if instance.is_promised(load):
            continue
        ready, own = _way(instance, load)[0], [m for m in load.moves if m not in join.tied]
        if len(own) == len(load.moves):  # it is out before, and the hoist at the first move
            back = min(instance.empty[place][first] for place in moves[own[-1]].targets)
            least = max(least, ready + _rest(instance, load, 0) + back)
            continue
        for move in own:
            ready += moves[move].shortest
            back = min(instance.empty[place][first] for place in moves[move].targets)
            least = max(least, ready + back)
            ready += instance.stay_after[move].least
        least = max(least, ready - join.tied[load.moves[len(own)]])
    if free:
        sources = [first, *(place for move in free for place in move.sources)]
        targets = {place for move in free for place in move.targets}
        nearest = {place: min(instance.empty[place][s] for s in sources) for place in targets}
        work = sum(m.shortest + min(nearest[place] for place in m.targets) for m in free)
        starts = [_way(instance, instance.loads[move.job])[0] for move in free]
        least = max(least, min(starts) + work)
    if not join.leaving:
        return 0, least
    back = min(instance.empty[place][first] for m in join.leaving for place in moves[m].targets)
    return join.first_out + back, least


def join_latest(instance: FiniteInstance) -> int | None:
    """When a cycle is joined at the latest for the sake of loads of it that may be so late only;
    None where nothing says so."""
    found = []
    for load in instance.loads:
        outlet = instance.outlet(load)
        if load.due is None or instance.late_most is None or outlet not in instance.tied:
            continue
        out = instance.tied[outlet] + instance.moves[outlet].routes[0].duration
        found.append(load.due + instance.late_most // load.weight - out)
    return min(found, default=None)


def _several_join_bound(instance: FiniteInstance, join: Join) -> int:
    """A bound on the joining of several hoists: all moves before it have begun by then, and
    those of the cycle begin no sooner than where the hoists are at first allows."""
    moves = instance.moves
    least = max((time + 1 for time in instance.promised.values()), default=0)
    for move, after in join.tied.items():
        least = max(least, instance.soonest(moves[move], after) - after)
    for load in instance.loads:
        if instance.is_promised(load):
            continue
        ready, own = _way(instance, load)[0], [m for m in load.moves if m not in join.tied]
        for move in own:
            least = max(least, ready + 1)
            stay = instance.stay_after.get(move)
            ready += moves[move].shortest + (0 if stay is None else stay.least)
        if len(own) < len(load.moves):
            least = max(least, ready - join.tied[load.moves[len(own)]])
    return least
