"""Which moves are taken out of an order, compiled: at or near those that keep the cycle so long."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.random import Generator

from ...compiled import lean
from .line import Line, Space

FEWEST, MANY = 8, 20
"""Moves taken out, besides those of a load as a whole."""

_SHARES = np.cumsum([2, 2, 2, 2, 1, 1, 1]) / 11
"""How often each kind of choice comes, cumulated: moves in a row; near critical ones; of a load,
and near these; two rows; a load as a whole; a tank, and near it; a load, and near it."""

_NEAR = 2
"""Moves so near in the order count as near."""


@lean
def _take(move: int, count: int, space: Space) -> Any:
    """Take a move out, unless it is; return how many are."""
    if not space.kept[move] or count >= len(space.left) - 2:
        return count
    space.kept[move] = False
    space.out[count] = move
    return count + 1


@lean
def _take_row(first: int, size: int, count: int, space: Space) -> Any:
    """Take out moves that follow one another in the order, from a place on."""
    for step in range(size):
        count = _take(space.order[(first + step) % len(space.order)], count, space)
    return count


@lean
def _take_near(among: Any, known: int, size: int, count: int, space: Space, rng: Generator) -> Any:
    """Take out moves near some of those given, until there are so many, or often in vain."""
    for _ in range(4 * size):
        if count >= size:
            break
        place = space.rank[among[int(rng.random() * known)]]
        place += int(rng.random() * (2 * _NEAR + 1)) - _NEAR
        count = _take(space.order[place % len(space.order)], count, space)
    return count


@lean
def take_out(line: Line, critical: int, space: Space, rng: Generator) -> Any:
    """Take some moves out of the present order; return how many."""
    moves = len(space.order)
    for move in range(moves):
        space.kept[move] = True
    size = min(moves - 2, FEWEST + int(rng.random() * (MANY - FEWEST + 1)))
    drawn, kind = rng.random(), 0
    while kind < len(_SHARES) - 1 and drawn >= _SHARES[kind]:
        kind += 1
    move = space.critical[int(rng.random() * critical)]
    first, last = line.begins[move], line.ends[move]
    count: Any = np.int64(0)  # no literal: compiled once
    known: Any = np.int64(critical)
    if kind == 0:
        return _take_row(space.rank[move] - int(rng.random() * size), size, count, space)
    if kind == 1:
        return _take_near(space.critical, known, size, count, space, rng)
    if kind == 3:
        half = size // 2
        count = _take_row(space.rank[move] - int(rng.random() * half), half, count, space)
        return _take_row(int(rng.random() * moves), half, count, space)
    if kind == 2:
        first = max(first, move - int(rng.random() * (size // 2 + 1)))
        last = min(last, first + size // 2)
    elif kind == 5:
        move = max(move, first + 1)
        others: Any = np.int64(0)
        while others < line.shared.shape[1] and line.shared[move, others] >= 0:
            others += 1
        start = int(rng.random() * others)
        for step in range(others):
            if count >= size:
                break
            other = line.shared[move, (start + step) % others]
            count = _take(other, count, space)
            count = _take(other - 1, count, space)
        first, last = move - 1, move
    elif kind == 4:
        size = 0
    for each in range(first, last + 1):
        count = _take(each, count, space)
    if kind == 6:
        size = count + size // 2
    return _take_near(space.out, count, size, count, space, rng)
