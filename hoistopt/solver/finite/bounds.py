"""Bounds on the finish that need no search, and a time by which all can be done."""

from __future__ import annotations

from ...instance.finite import FiniteInstance, FiniteLoad


def lower_bound(instance: FiniteInstance) -> int:
    """The best of the bounds below, in ticks."""
    best = max([0, *(sum(_way(instance, load)) for load in instance.loads)])
    return max(best, _hoist_bound(instance), *(_place_bounds(instance) or [0]))


def _way(instance: FiniteInstance, load: FiniteLoad) -> tuple[int, int]:
    """When a load can move first, and the least time from there until it is through."""
    first = instance.moves[load.moves[0]]
    begins = max(0, load.earliest)
    if instance.hoist is not None:
        begins = max(begins, min(instance.hoist[source] for source in first.sources))
    return begins, _rest(instance, load, 0)


def _rest(instance: FiniteInstance, load: FiniteLoad, place: int) -> int:
    """Least time from the start of a load's move, by its place in the way, to its end."""
    total = 0
    for index in load.moves[place:]:
        stay = instance.stay_after.get(index)
        total += instance.moves[index].shortest + (stay.least if stay is not None else 0)
    return total


def _hoist_bound(instance: FiniteInstance) -> int:
    """The hoist makes all moves, each but the first after the nearest other one."""
    moves = instance.moves
    if not moves:
        return 0
    targets = {target for move in moves for target in move.targets}
    nearest = [
        min(instance.empty[target][source] for target in targets for source in move.sources)
        for move in moves
    ]
    begins = min(_way(instance, load)[0] for load in instance.loads)
    return begins + sum(move.shortest for move in moves) + sum(nearest) - max(nearest)


def _place_bounds(instance: FiniteInstance) -> list[int]:
    """A station of one place serves its loads one after another."""
    visits: dict[int, list[tuple[int, int, int]]] = {}
    for load in instance.loads:
        begins, whole = _way(instance, load)
        for place, index in enumerate(load.moves[:-1]):
            stay = instance.stay_after[index]
            if len(stay.places) == 1 and instance.places[stay.places[0]].capacity == 1:
                after = _rest(instance, load, place + 1)
                before = begins + whole - after - stay.least
                visits.setdefault(stay.places[0], []).append((before, stay.least, after))
    found = []
    for place, here in visits.items():
        # Between two loads the hoist takes one out and brings the other.
        outs = [m.shortest for m in instance.moves if place in m.sources]
        ins = [m.shortest for m in instance.moves if place in m.targets]
        turn = min(outs) + min(ins)
        dwells = sum(least for _, least, _ in here)
        head, tail = min(before for before, _, _ in here), min(after for _, _, after in here)
        found.append(head + dwells + (len(here) - 1) * turn + tail)
    return found


def horizon(instance: FiniteInstance) -> int:
    """A time by which some programme of least finish is over.

    Of earliest starts, given an order of the moves, each is held by a chain of demands that
    meets every move at most once, and no demand is longer than what is summed here.
    """
    longest_way = max((time for row in instance.empty for time in row), default=0)
    total = max([0, *(load.earliest for load in instance.loads), *(instance.hoist or ())])
    total += max([0, *(max(map(max, end.ready)) for end in instance.ends)])
    occupied = max([0, *(end.occupied for end in instance.ends)]) + 1
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
    begins = next(move for move, after in join.tied.items() if after == 0)
    first = moves[begins].routes[0].source
    least = 0 if instance.hoist is None else instance.hoist[first]
    free = [move for move in moves if move.index not in join.tied]
    for load in instance.loads:
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
