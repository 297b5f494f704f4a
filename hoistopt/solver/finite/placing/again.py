"""Loads of a programme taken off and placed again in another order."""

from __future__ import annotations

from random import Random

from .board import Board
from .construct import placed, value_of

WORSE = 0.02
"""How much longer than the best a programme may be that others are made from."""


class Again:
    """Loads taken off and placed again, from the best board or from one hardly worse."""

    def __init__(self, board: Board, rng: Random) -> None:
        self.rng, self.vain = rng, 0
        self.best_board, self.best = board, value_of(board)
        self._held, self._value = board, self.best

    def tried(self) -> bool:
        """Try once; whether that is the best so far."""
        self.vain += 1
        other = rebuilt(self._held, self.rng)
        if other is None:
            return False
        found = value_of(other)
        better = found < self.best
        if better:
            self.best_board, self.best, self.vain = other, found, 0
        allowed = (self.best[0], round(self.best[1] * (1 + WORSE * self.rng.random() ** 2)))
        if found <= self._value or found[:2] <= allowed:
            self._held, self._value = other, found
        return better


def rebuilt(board: Board, rng: Random) -> Board | None:
    """Some loads taken off and placed again in another order."""
    instance = board.instance
    other = board.copy()
    chosen = _chosen(other, rng)
    for number in chosen:
        other.remove(number)
    inside = [n for n in chosen if not instance.loads[n].enters]
    entering = [n for n in chosen if instance.loads[n].enters]
    rng.shuffle(inside)
    rng.shuffle(entering)
    if instance.sequence:
        entering.sort(key=instance.sequence.index)
    return placed(other, [*inside, *entering])


def _chosen(board: Board, rng: Random) -> list[int]:
    """Loads to take off: neighbours in time, any, or the last one out with some before it."""
    instance = board.instance
    free = (n for n in board.ways if not instance.is_promised(instance.loads[n]))
    numbers = sorted(free, key=lambda number: board.ways[number][0][0])
    size = min(len(numbers), rng.choice((1, 2, 2, 3, 3, 4, 5, 6)))
    way = rng.random()
    if way < 0.35:
        at = rng.randrange(len(numbers) - size + 1)
        return numbers[at : at + size]
    if way < 0.6:
        return rng.sample(numbers, size)
    last = max(numbers, key=lambda number: board.ways[number][-1][0])
    others = [number for number in numbers if number != last]
    near = others[-3 * size :] if rng.random() < 0.5 else others
    return [*rng.sample(near, min(len(near), size - 1)), last]
