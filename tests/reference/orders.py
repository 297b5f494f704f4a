"""Every cyclic order of the moves, the first lift of load 0 coming first."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import permutations

from .ends import standing_ends
from .moves import Line
from .ratio import least_period
from .standing import dwell


def orders(line: Line, best: Callable[[], int | None]) -> Iterator[tuple[int, ...]]:
    """Orders worth a look, as tuples of move numbers.

    Left out: orders that only rename loads of one recipe; orders in which a tank for one
    carrier does not see in, out, in, out; orders in which a station must at some moment
    hold over its capacity more carriers than at another; entering orders the problem does
    not allow; and orders that cannot be done within less than `best()`, the best so far.
    """
    count = len(line.moves)
    lifts = [i for i, move in enumerate(line.moves) if move.step == 0]
    entering = entering_orders(line)
    single = {
        station.name
        for station in line.problem.stations
        if station.capacity == 1 and station.kind in ("tank", "dryer")
    }
    arrives = {s.arrive: i for i, s in enumerate(line.stays) if s.station in single}
    leaves = {s.leave: i for i, s in enumerate(line.stays) if s.station in single}

    limits = {
        station.name: station.capacity
        for station in line.problem.stations
        if isinstance(station.capacity, int)
        and (station.kind in ("tank", "dryer") or station in standing_ends(line))
    }

    def swings(prefix: list[int], name: str) -> bool:
        held = least = most = 0
        for i in prefix:
            held += (line.moves[i].target == name) - (line.moves[i].source == name)
            least, most = min(least, held), max(most, held)
        return most - least > limits.get(name, count)

    def fits(prefix: list[int], move: int) -> bool:
        if move in lifts:
            recipes = tuple(
                line.recipes[line.moves[i].load].name for i in (*prefix, move) if i in lifts
            )
            if not any(order[: len(recipes)] == recipes for order in entering):
                return False
            for lift in lifts[: lifts.index(move)]:
                same = line.recipes[line.moves[lift].load] is line.recipes[line.moves[move].load]
                if same and lift not in prefix:
                    return False
        if move in leaves:
            stay = line.stays[leaves[move]]
            for i in reversed(prefix):
                if line.moves[i].target == stay.station:
                    if i != stay.arrive:
                        return False
                    break
                if line.moves[i].source == stay.station:
                    return False
        if move in arrives:
            station = line.stays[arrives[move]].station
            for i in reversed(prefix):
                if line.moves[i].target == station:
                    return False
                if line.moves[i].source == station:
                    break
        ends = (line.moves[move].source, line.moves[move].target)
        return not any(swings([*prefix, move], name) for name in ends)

    def extend(prefix: list[int]) -> Iterator[tuple[int, ...]]:
        if len(prefix) == count:
            yield tuple(prefix)
            return
        starts = earliest_starts(line, prefix, single, best())
        if starts is None:
            return
        ready = [i for i in range(count) if i not in prefix and fits(prefix, i)]
        for move in sorted(ready, key=lambda i: starts[i]):  # the most promising first
            yield from extend([*prefix, move])

    yield from extend([0])


def earliest_starts(
    line: Line, prefix: list[int], single: set[str], best: int | None
) -> list[int] | None:
    """Earliest starts of all moves when `prefix` comes first; None if that is hopeless.

    Whatever order the others take, they follow the prefix. Which side of the end of the
    cycle a stay lies on is known once one of its moves is in the prefix, if the tank
    holds one carrier. A demand that weakens with a longer cycle is taken at the longest
    cycle still wanted, and one that grows with it at the shortest there can be.
    """
    others = [i for i in range(len(line.moves)) if i not in prefix]
    sooner = [(a, b) for i, a in enumerate(prefix) for b in (*prefix[i + 1 :], *others)]
    demands = [(a, b, line.gap[a][b], 0) for a, b in sooner]
    demands += [(b, a, line.gap[b][a], 1) for a, b in sooner]
    for stay in line.stays:
        known = [i for i in prefix if i in (stay.arrive, stay.leave)]
        if known and stay.station in single:
            demands += dwell(line, stay, int(known[0] == stay.leave))
    shortest = max(line.gap[i][i] for i in range(len(line.moves)))
    if best is None:
        demands = [demand for demand in demands if demand[3] <= 0]
    longest = 0 if best is None else best - 1
    if best is not None and longest < shortest:
        return None
    eased = [
        (a, b, least - cycles * (longest if cycles > 0 else shortest), 0)
        for a, b, least, cycles in demands
    ]
    found = least_period(len(line.moves), eased, 0, 1)
    return None if found is None else found[1]


def entering_orders(line: Line) -> set[tuple[str, ...]]:
    """The allowed orders of first lifts, by recipe, beginning with load 0."""
    names = tuple(recipe.name for recipe in line.recipes)
    if line.problem.cycle.order is None:
        return {(names[0], *rest) for rest in permutations(names[1:])}
    return {names[i:] + names[:i] for i in range(len(names)) if names[i] == names[0]}
