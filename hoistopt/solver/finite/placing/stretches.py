"""Loads placed in step with a cycle: stretches of like loads, one a cycle time after another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice, permutations
from random import Random

from ....base.clock import Clock
from .board import Board
from .construct import arrivals
from .insertion import insert

MOST_SEQUENCES, MOST_OUT_OF_STEP = 24, 2
"""Sequences of stretches that are tried, and those of which the loads enter as soon as they can,
which takes longer and is rarely better."""


@dataclass(frozen=True)
class Way:
    """How one load of a cycle goes; in ticks.

    Attributes
    ----------
    after : int
        From the entering of the load before to its own.
    dwells : tuple of int
        By stage.
    places : tuple of int
        Where it is set down, move by move.
    """

    after: int
    dwells: tuple[int, ...]
    places: tuple[int, ...]


@dataclass(frozen=True)
class Pace:
    """How loads of one recipe follow each other in a cycle: in these ways, over and over."""

    ways: tuple[Way, ...]


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
    sequences = list(_sequences(board, Random(clock.seed)))
    for in_step, tried in ((True, sequences), (False, sequences[:MOST_OUT_OF_STEP])):
        for sequence in tried:
            if clock.over:
                return found
            other = _followed(board.copy(), sequence, paces, in_step)
            if other is not None:
                found.append(other)
    return found


def _sequences(board: Board, rng: Random) -> Iterator[list[int]]:
    """By due time; recipe after recipe; and as they come, the only one where that is asked."""
    instance = board.instance
    waiting = arrivals(instance)
    if instance.sequence:
        yield waiting
        return
    due = [instance.loads[number].due for number in waiting]
    if any(time is not None for time in due):
        never = max((time for time in due if time is not None), default=0) + 1
        waiting.sort(key=lambda n: never if (d := instance.loads[n].due) is None else d)
        yield list(waiting)
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
    yield arrivals(instance)


def _followed(
    board: Board, sequence: Sequence[int], paces: Mapping[str, Pace], in_step: bool
) -> Board | None:
    """Loads placed one after another; `in_step`: like ones no sooner than in their cycle.

    Out of step they may use any tank that serves a stage.
    """
    loads = board.instance.loads
    last: int | None = None
    length = 0
    for number in sequence:
        pace = paces.get(loads[number].recipe)
        entered = 0 if last is None else board.ways[last][0][0]
        low = entered if board.instance.sequence else 0
        follows = last is not None and loads[last].recipe == loads[number].recipe
        length = length + 1 if follows else 0
        placed = False
        if pace is not None:
            way = pace.ways[length % len(pace.ways)]
            placed = insert(
                board,
                number,
                not_before=entered + way.after if in_step and follows else low,
                dwells=way.dwells,
                places=way.places if in_step else None,
            )
        if not placed and not insert(board, number, not_before=low):
            return None
        last = number
    return board
