"""Loads placed in step with a cycle: stretches of like loads, one a cycle time after another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice, permutations
from random import Random

from ...base.clock import Clock
from .board import Board
from .construct import arrivals
from .insertion import insert

MOST_SEQUENCES = 24
"""Sequences of stretches that are tried."""


@dataclass(frozen=True)
class Pace:
    """How loads of one recipe follow each other in a cycle; in ticks.

    Attributes
    ----------
    dwells : tuple of int
        Of a load, by stage.
    period : int
        From one load's entering to the next one's.
    """

    dwells: tuple[int, ...]
    period: int


def in_stretches(board: Board, paces: Mapping[str, Pace], clock: Clock) -> list[Board]:
    """The board with all loads on it that are to enter, in step where they have a pace.

    Parameters
    ----------
    board : Board
        With the loads of the state on it, and no others.
    paces : mapping of str to Pace
        By recipe; loads of others are placed as early as they can be out.
    clock : Clock
        When it is over, no more sequences are tried.

    Returns
    -------
    list of Board
        One for each sequence in which all loads have a place.
    """
    found: list[Board] = []
    for sequence in _sequences(board, Random(clock.seed)):
        for in_step in (True, False):
            if clock.over:
                return found
            other = _followed(board.copy(), sequence, paces, in_step)
            if other is not None:
                found.append(other)
    return found


def _sequences(board: Board, rng: Random) -> Iterator[list[int]]:
    """As they come; by due time; and recipe after recipe."""
    instance = board.instance
    waiting = arrivals(instance)
    yield waiting
    if instance.in_order:
        return
    due = [instance.loads[number].due for number in waiting]
    if any(time is not None for time in due):
        never = max((time for time in due if time is not None), default=0) + 1
        waiting.sort(key=lambda n: never if (d := instance.loads[n].due) is None else d)
        yield waiting
    stretches: dict[str, list[int]] = {}
    for number in waiting:
        stretches.setdefault(instance.loads[number].recipe, []).append(number)
    recipes = list(stretches)
    if len(recipes) <= 4:
        orders = list(permutations(recipes))
    else:
        orders = [tuple(rng.sample(recipes, len(recipes))) for _ in range(MOST_SEQUENCES)]
    for order in islice(orders, MOST_SEQUENCES):
        yield [number for recipe in order for number in stretches[recipe]]


def _followed(
    board: Board, sequence: Sequence[int], paces: Mapping[str, Pace], in_step: bool
) -> Board | None:
    """Loads placed one after another; `in_step`: like ones no sooner than their period."""
    loads = board.instance.loads
    last: int | None = None
    for number in sequence:
        pace = paces.get(loads[number].recipe)
        low = entered = 0
        if last is not None:
            entered = board.ways[last][0][0]
            if board.instance.in_order:
                low = entered
        placed = False
        if pace is not None:
            after = low
            if in_step and last is not None and loads[last].recipe == loads[number].recipe:
                after = entered + pace.period
            placed = insert(board, number, not_before=after, dwells=pace.dwells)
        if not placed and not insert(board, number, not_before=low):
            return None
        last = number
    return board
