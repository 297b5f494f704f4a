"""Programmes that join a cycle at a given time, made by placing loads one after another."""

from __future__ import annotations

from random import Random

from ....instance import Route
from ....instance.finite import FiniteInstance
from ..placing.board import Board
from ..placing.construct import turn_of
from ..placing.insertion import insert
from ..placing.room import EVER
from ..times import lateness

ORDERS = 4
"""Orders in which the loads are tried, at one time of joining."""

Ways = list[list[tuple[int, Route]]]
"""Start and route of each move, by load."""


def board_at(instance: FiniteInstance, at: int, rng: Random, cleared: Ways) -> Board | None:
    """All loads placed, the cycle joined at a time; None where no order tried leaves room.

    First come those that go out before, then those of the state that take a role, then those
    that enter, the one furthest on its way first. Where the loads of the state find no place
    they go out as is known that they can.
    """
    order, still = in_turn(instance), at_their_times(instance)
    for turn in range(ORDERS):
        board = Board(instance, at)
        if not in_time(board):
            return None
        fixed = cleared if turn == ORDERS - 1 else []
        if not put_ways(board, fixed):
            return None
        later = [number for number in [*still, *order] if number >= len(fixed)]
        failed = next((number for number in later if not _insert(board, number)), None)
        if failed is None:
            return board if early_enough(board) else None
        if failed in still:
            return None
        place = order.index(failed)
        order.insert(rng.randrange(place) if place else len(order) - 1, order.pop(place))
    return None


def at_their_times(instance: FiniteInstance) -> list[int]:
    """The loads that the cycle alone moves."""
    return [n for n, load in enumerate(instance.loads) if load.moves[0] in instance.tied]


def in_turn(instance: FiniteInstance) -> list[int]:
    """The others whose times are not given, in the order in which they are placed first."""
    firsts = [load.moves[0] for load in instance.loads]
    kept = instance.tied.keys() | instance.promised.keys()
    order = [number for number, move in enumerate(firsts) if move not in kept]
    return sorted(order, key=lambda number: _turn(instance, number))


def in_time(board: Board) -> bool:
    """Whether the hoist is back for the cycle after all that is promised."""
    return all(board.in_time(route, start) for way in board.ways.values() for start, route in way)


def _insert(board: Board, number: int) -> bool:
    low, high = turn_of(board, number)
    return insert(board, number, not_before=low, not_after=high)


def early_enough(board: Board) -> bool:
    """Whether loads are no later than the problem lets them be."""
    most = board.instance.late_most
    return most is None or lateness(board.instance, board.timing()) <= most


def put_ways(board: Board, ways: Ways) -> bool:
    """Give the first loads the times known; whether the hoist is back for the cycle."""
    for number, way in enumerate(ways):
        if number in board.ways:
            continue
        # Tables may make the direct way to a move of the cycle long, from any of its moves.
        if not all(board.in_time(route, start) for start, route in way):
            return False
        try:
            board.put(number, way)
        except ValueError:
            return False
    return True


def _turn(instance: FiniteInstance, number: int) -> tuple[int, int, int]:
    load = instance.loads[number]
    until = min(EVER if one is None else one for one in (load.latest, load.due))
    if number in instance.sequence:
        until, number = 0, instance.sequence.index(number)
    if load.moves[-1] not in instance.tied:
        return 0, until, number
    return 2 if load.enters else 1, 0, number


def filled(instance: FiniteInstance, cleared: Ways) -> Board | None:
    """The loads that enter at the times of the cycle, and before them the line run out."""
    assert instance.join is not None
    usual = instance.join.usual
    out = max([0, *(way[-1][0] + way[-1][1].duration for way in cleared)])
    at = out + settled(instance, bool(cleared)) - min([0, *(time for time, _ in usual.values())])
    board = Board(instance, at)
    if not in_time(board) or not put_ways(board, cleared):
        return None
    for number, load in enumerate(instance.loads):
        if number < len(cleared) or not load.enters:
            continue
        way = []
        for index in load.moves:
            routes = instance.moves[index].routes
            if index in instance.tied:
                way.append((at + instance.tied[index], routes[0]))
                continue
            if index not in usual or usual[index][1] not in routes:
                return None
            way.append((at + usual[index][0], usual[index][1]))
        try:
            board.put(number, way)
        except ValueError:
            return None
    return board if early_enough(board) else None


def settled(instance: FiniteInstance, cleared: bool) -> int:
    """A time after the last load is out, by which hoist, ends and carriers are ready.

    None has to pass in an empty line of which nothing is known, and which had no loads.
    """
    waits = [0, *(instance.hoist or ()), *instance.rests.values()]
    barred = (instance.barred(route) for move in instance.moves for route in move.routes)
    waits += [high for spans in barred for _, high in spans]
    for end in instance.ends:
        waits += [end.occupied + 1, *(ready for slot in end.ready for ready in slot)]
    most = max(waits) + instance.reach
    if (stock := instance.carriers) is not None:
        most += max([0, *stock.ready]) + max([0, *stock.ahead.values()])
        most += max([0, *stock.behind.values()])
    known = instance.hoist is not None or bool(instance.resting) or bool(instance.begins)
    return most if known or cleared or not all(x.enters for x in instance.loads) else 0
