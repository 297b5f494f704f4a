"""Every cyclic order of the moves, the first lift of load 0 coming first."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import permutations

from .ends import standing_ends
from .moves import Line


def orders(line: Line, best: Callable[[], int | None]) -> Iterator[tuple[int, ...]]:
    """Orders worth a look, as tuples of move numbers.

    Left out: orders that only rename loads of one recipe; orders in which a tank for one
    carrier does not see in, out, in, out; orders in which a station must at some moment
    hold over its capacity more carriers than at another; entering orders the problem does
    not allow; and orders whose moves alone take at least `best()`, the best so far.
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

    def earliest_start(prefix: list[int], earliest: list[int], move: int) -> int:
        start = max(at + line.gap[i][move] for i, at in zip(prefix, earliest, strict=True))
        if move in leaves:
            stay = line.stays[leaves[move]]
            if stay.arrive in prefix:
                arrived = earliest[prefix.index(stay.arrive)] + line.moves[stay.arrive].ticks
                start = max(start, arrived + stay.least)
        return start

    def extend(prefix: list[int], earliest: list[int]) -> Iterator[tuple[int, ...]]:
        if len(prefix) == count:
            yield tuple(prefix)
            return
        ready = []
        for move in range(count):
            if move not in prefix and fits(prefix, move):
                ready.append((earliest_start(prefix, earliest, move), move))
        for start, move in sorted(ready):  # the most promising first
            limit = best()
            if limit is None or start + line.gap[move][0] < limit:
                yield from extend([*prefix, move], [*earliest, start])

    yield from extend([0], [0])


def entering_orders(line: Line) -> set[tuple[str, ...]]:
    """The allowed orders of first lifts, by recipe, beginning with load 0."""
    names = tuple(recipe.name for recipe in line.recipes)
    if line.problem.cycle.order is None:
        return {(names[0], *rest) for rest in permutations(names[1:])}
    return {names[i:] + names[:i] for i in range(len(names)) if names[i] == names[0]}
