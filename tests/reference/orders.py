"""Every cyclic order of the moves, the first lift of load 0 coming first."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import permutations

import numpy as np

from .earliest import Earliest
from .ends import standing_ends
from .moves import Line

_PROCESS = ""
"""In place of a station: the whole of the line, for carriers between load and unload."""


_State = list[tuple[int, int, int, int | None]]
"""What the moves so far have done at each station that has a limit: carriers more than at the
start, the least and the most there have been of that, and the last move that came or left."""


def orders(line: Line, best: Callable[[], int | None], low: int = 0) -> Iterator[tuple[int, ...]]:
    """Orders worth a look, as tuples of move numbers.

    Left out: orders that only rename loads of one recipe; orders in which a tank for one
    carrier does not see in, out, in, out; orders in which a station must at some moment
    hold over its capacity more carriers than at another, or the line more than there are;
    entering orders the problem does
    not allow; and orders that cannot be done within less than `best()`, the best so far,
    where no cycle shorter than `low` is wanted.
    """
    count = len(line.moves)
    single = {
        station.name
        for station in line.problem.stations
        if station.capacity == 1 and station.kind in ("tank", "dryer")
    }
    rules = _Rules(line, single)
    earliest = Earliest(line, single, low)
    place = np.full(count, count)

    def extend(
        prefix: tuple[int, ...], left: list[int], entered: tuple[str, ...], seen: _State
    ) -> Iterator[tuple[int, ...]]:
        starts = earliest.starts(place, len(prefix), best())
        if starts is None:
            return
        if len(prefix) == count:
            yield prefix
            return
        for move in sorted(left, key=starts.__getitem__):  # the most promising first
            if not rules.enters_in_turn(move, entered, prefix):
                continue
            after = rules.after(move, seen)
            if after is not None:
                place[move] = len(prefix)
                others = [other for other in left if other != move]
                yield from extend((*prefix, move), others, rules.entered(move, entered), after)
                place[move] = count

    place[0] = 0
    yield from extend(
        (0,), list(range(1, count)), rules.entered(0, ()), rules.after(0, rules.at_first) or []
    )


class _Rules:
    """Which move can come next, whatever the times."""

    def __init__(self, line: Line, single: set[str]) -> None:
        self._line = line
        self._brought_by = {s.leave: s.arrive for s in line.stays if s.station in single}
        standing = standing_ends(line)
        limits = {
            station.name: station.capacity
            for station in line.problem.stations
            if isinstance(station.capacity, int)
            and (station.kind in ("tank", "dryer") or station in standing)
        }
        if line.problem.carriers.count is not None:
            limits[_PROCESS] = line.problem.carriers.count
        self._names, self._limits = list(limits), list(limits.values())
        self._one_carrier = [name in single for name in limits]
        self.at_first: _State = [(0, 0, 0, None)] * len(limits)
        self._changes = [
            [
                (self._names.index(name), change)
                for name, change in _changes(line, move)
                if name in limits
            ]
            for move in range(len(line.moves))
        ]
        self._begun = {
            order[:length] for order in entering_orders(line) for length in range(len(order) + 1)
        }
        self._same_before: dict[int, set[int]] = {}
        for lift, move in enumerate(line.moves):
            if move.step == 0:
                recipe = line.recipes[move.load]
                self._same_before[lift] = {
                    other
                    for other in self._same_before
                    if line.recipes[line.moves[other].load] is recipe
                }

    def entered(self, move: int, entered: tuple[str, ...]) -> tuple[str, ...]:
        """Recipes of the loads that entered, this move included."""
        if move not in self._same_before:
            return entered
        return (*entered, self._line.recipes[self._line.moves[move].load].name)

    def enters_in_turn(self, move: int, entered: tuple[str, ...], prefix: tuple[int, ...]) -> bool:
        """Whether the problem allows the entering order, and no load of a recipe is renamed."""
        if move not in self._same_before:
            return True
        return self.entered(move, entered) in self._begun and self._same_before[move].issubset(
            prefix
        )

    def after(self, move: int, seen: _State) -> _State | None:
        """What has been seen once the move is done too; None if a station is against it.

        A tank for one carrier sees in, out, in, out, and no station is too full.
        """
        after = list(seen)
        for station, change in self._changes[move]:
            held, least, most, last = seen[station]
            if last is not None and self._one_carrier[station]:
                if change < 0:  # a lift
                    if last != self._brought_by[move]:
                        return None
                elif self._line.moves[last].target == self._names[station]:
                    return None
            held += change
            least, most = min(least, held), max(most, held)
            if most - least > self._limits[station]:
                return None
            after[station] = (held, least, most, move)
        return after


def _changes(line: Line, number: int) -> list[tuple[str, int]]:
    """How many carriers a move takes from a station, brings to one, and puts in process."""
    move = line.moves[number]
    changes = [(move.source, -1), (move.target, 1)]
    if move.step == 0:
        changes.append((_PROCESS, 1))
    if move.step == len(line.recipes[move.load].stages):
        changes.append((_PROCESS, -1))
    return changes


def entering_orders(line: Line) -> set[tuple[str, ...]]:
    """The allowed orders of first lifts, by recipe, beginning with load 0."""
    names = tuple(recipe.name for recipe in line.recipes)
    if line.problem.cycle.order is None:
        return {(names[0], *rest) for rest in permutations(names[1:])}
    return {names[i:] + names[:i] for i in range(len(names)) if names[i] == names[0]}
