"""Programmes built by placing one load after another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import factorial
from random import Random

from ....base.clock import Clock
from ....instance import Route
from ....instance.finite import FiniteInstance
from ..times import Timing, lateness
from .board import Board
from .insertion import insert
from .room import EVER

TRIES = 200
"""Orders in which the loads of a state are tried."""

Value = tuple[int, int, int]


def value_of(board: Board) -> Value:
    """What is to be least: lateness, finish, and for a better start the sum of all ends."""
    timing = board.timing()
    ends = [timing.end(load.moves[-1]) for load in board.instance.loads]
    return lateness(board.instance, timing), timing.finish, sum(ends)


def board_of(instance: FiniteInstance, timing: Timing) -> Board | None:
    """A board with all loads at the times of a programme; None where its carriers at the ends
    of the line cannot be given places in their order of time."""
    board = Board(instance)
    ways = [
        [(timing.starts[move], timing.routes[move]) for move in load.moves]
        for load in instance.loads
    ]
    try:
        for number in sorted(range(len(ways)), key=lambda number: ways[number][0][0]):
            if number not in board.ways:
                board.put(number, ways[number])
    except ValueError:
        return None
    return board


def first_board(instance: FiniteInstance, clock: Clock) -> Board | None:
    """All loads placed, those of the state first, then first come, first served.

    Returns
    -------
    Board or None
        None where the loads of the state have no place in any order that was tried.
    """
    inside = [
        number
        for number, load in enumerate(instance.loads)
        if not load.enters and not instance.is_promised(load)
    ]
    inside.sort(key=lambda number: (_latest(instance, number), number))
    board = _state_placed(instance, inside, clock)
    return None if board is None else placed(board, arrivals(instance))


def arrivals(instance: FiniteInstance) -> list[int]:
    """The loads that are to enter, first come, first served."""
    if instance.sequence:
        return list(instance.sequence)
    loads = instance.loads
    entering = [n for n, load in enumerate(loads) if load.enters and not instance.is_promised(load)]
    return sorted(entering, key=lambda n: (loads[n].earliest, loads[n].number))


def _latest(instance: FiniteInstance, number: int) -> int:
    latest = instance.loads[number].latest
    return EVER if latest is None else latest


def _state_placed(instance: FiniteInstance, inside: list[int], clock: Clock) -> Board | None:
    """Place the loads of the state; one that finds no place is tried earlier next time."""
    order, rng = list(inside), Random(clock.seed)
    tried: dict[tuple[int, ...], int] = {}  # the load that finds no place in an order
    for turn in range(TRIES):
        failed = tried.get(tuple(order))
        if failed is None:
            board = Board(instance)
            failed = next((number for number in order if not insert(board, number)), None)
            if failed is None:
                return board
            tried[tuple(order)] = failed
        if clock.over or len(tried) == factorial(len(order)):
            return None
        if turn % 8 == 7:
            rng.shuffle(order)
        else:
            at = order.index(failed)
            order.insert(rng.randrange(at) if at else len(order) - 1, order.pop(at))
    return None


def placed(board: Board, order: Sequence[int]) -> Board | None:
    """The board with more loads on it, one after another; None where one has no place."""
    for number in order:
        low, high = turn_of(board, number)
        if not insert(board, number, not_before=low, not_after=high):
            return None
    return board


def turn_of(board: Board, number: int) -> tuple[int, int]:
    """Between which a load may enter, where the order of entering is given."""
    sequence = board.instance.sequence
    if number not in sequence:
        return 0, EVER
    place = {load: n for n, load in enumerate(sequence)}
    low, high = 0, EVER
    for other, way in board.ways.items():
        if other not in place:
            continue
        if place[other] < place[number]:
            low = max(low, way[0][0])
        else:
            high = min(high, way[0][0])
    return low, high


def best_next(board: Board, waiting: Sequence[int]) -> Board | None:
    """Of the kinds of load yet to enter, always place next the one that is out first."""
    instance, left = board.instance, list(waiting)
    board = board.copy()
    while left:
        kinds: dict[tuple[object, ...], int] = {}
        for number in left:
            load = instance.loads[number]
            kinds.setdefault((load.recipe, load.earliest), number)
        tried = []
        for number in kinds.values():
            other = board.copy()
            if insert(other, number):
                start, route = other.ways[number][-1]
                tried.append((start + route.duration, number, other))
        if not tried:
            return None
        _, number, board = min(tried, key=lambda one: one[:2])
        left.remove(number)
    return board


def in_other_orders(board: Board, waiting: Sequence[int]) -> Iterator[Board]:
    """The loads yet to enter, by due time, by the time to spare until then, and by recipe."""
    instance, loads = board.instance, board.instance.loads

    def due(number: int) -> int:
        known = loads[number].due
        return EVER if known is None else known

    def spare(number: int) -> int:
        stays = (instance.stay_after.get(move) for move in loads[number].moves)
        return due(number) - sum(stay.least for stay in stays if stay is not None)

    first: dict[str, int] = {}
    for place, number in enumerate(waiting):
        first.setdefault(loads[number].recipe, place)
    orders = [sorted(waiting, key=key) for key in (due, spare)] if instance.due else []
    orders.append(sorted(waiting, key=lambda number: first[loads[number].recipe]))
    for order in dict.fromkeys(map(tuple, orders)):
        found = placed(board.copy(), order) if order != tuple(waiting) else None
        if found is not None:
            yield found


def add_loads(
    instance: FiniteInstance,
    fixed: dict[int, list[tuple[int, Route]]],
    waiting: Sequence[int],
    *,
    in_order: bool = False,
) -> Timing | None:
    """Place loads among others whose times are fixed, which are not touched.

    Parameters
    ----------
    fixed : dict
        Start and route of each move, by load.
    waiting : sequence of int
        The other loads.
    in_order : bool
        Whether they enter in the order given; else the one that is out first comes next.

    Returns
    -------
    Timing or None
        None where one of them has no place.
    """
    board: Board | None = Board(instance)
    assert board is not None
    for number, way in fixed.items():
        board.put(number, way)
    if not in_order:
        board = best_next(board, waiting)
        return None if board is None else board.timing()
    entered = 0
    for number in waiting:
        if not insert(board, number, not_before=entered):
            return None
        entered = board.ways[number][0][0]
    return board.timing()
