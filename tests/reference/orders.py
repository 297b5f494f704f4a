"""Every cyclic order of the moves, the first lift of load 0 coming first."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import permutations
from typing import NamedTuple

import numpy as np

from .earliest import Earliest
from .ends import standing_ends
from .moves import Line

_PROCESS = ""
"""In place of a station: the whole of the line, for carriers between load and unload."""


class _Seen(NamedTuple):
    """What the moves so far have done at one station."""

    held: int = 0
    """Carriers more than at the start."""
    least: int = 0
    most: int = 0
    last: int | None = None
    """The last of these moves that came here or left from here."""


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
        prefix: tuple[int, ...], entered: tuple[str, ...], seen: dict[str, _Seen]
    ) -> Iterator[tuple[int, ...]]:
        starts = earliest.starts(place, len(prefix), best())
        if starts is None:
            return
        if len(prefix) == count:
            yield prefix
            return
        left = [move for move in range(count) if place[move] == count]
        for move in sorted(left, key=starts.__getitem__):  # the most promising first
            if not rules.enters_in_turn(move, entered, prefix):
                continue
            after = rules.after(move, seen)
            if after is not None:
                place[move] = len(prefix)
                yield from extend((*prefix, move), rules.entered(move, entered), after)
                place[move] = count

    place[0] = 0
    yield from extend((0,), rules.entered(0, ()), rules.after(0, {}) or {})


class _Rules:
    """Which move can come next, whatever the times."""

    def __init__(self, line: Line, single: set[str]) -> None:
        self._line = line
        self._single = single
        self._brought_by = {s.leave: s.arrive for s in line.stays if s.station in single}
        standing = standing_ends(line)
        self._limits = {
            station.name: station.capacity
            for station in line.problem.stations
            if isinstance(station.capacity, int)
            and (station.kind in ("tank", "dryer") or station in standing)
        }
        if line.problem.carriers.count is not None:
            self._limits[_PROCESS] = line.problem.carriers.count
        self._changes = [
            [(name, change) for name, change in _changes(line, move) if name in self._limits]
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

    def after(self, move: int, seen: dict[str, _Seen]) -> dict[str, _Seen] | None:
        """What has been seen once the move is done too; None if a station is against it.

        A tank for one carrier sees in, out, in, out, and no station is too full.
        """
        after = dict(seen)
        for name, change in self._changes[move]:
            held, least, most, last = seen.get(name, _Seen())
            if last is not None and name in self._single:
                lifting = change < 0
                if lifting and last != self._brought_by[move]:
                    return None
                if not lifting and self._line.moves[last].target == name:
                    return None
            held += change
            least, most = min(least, held), max(most, held)
            if most - least > self._limits[name]:
                return None
            after[name] = _Seen(held, least, most, move)
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
