"""The line run out, then filled: two programmes known, the second begun as early as can be.

What is known of the empty line, a programme that fills it, keeps its ways and dwells and is
moved forward as one piece into what the loads before leave free. These go as is known that they
can, or are placed again beside it, each as early as it can be out.
"""

from __future__ import annotations

from ....instance.finite import FiniteInstance
from ..placing.board import Board
from ..placing.construct import turn_of
from ..placing.insertion import insert
from .candidate import Fill
from .placing import Ways, at_their_times, early_enough, in_time, in_turn, put_ways


def with_fill(instance: FiniteInstance, at: int, cleared: Ways, fill: Fill) -> Board | None:
    """All loads placed, the cycle joined at a time, ways and dwells of those that enter given.

    Parameters
    ----------
    instance : FiniteInstance
    at : int
        When the cycle is joined, in ticks.
    cleared : list
        Start and route of each move by which loads of the state are out, where they all go out.
    fill : dict
        Ways and dwells before the joining, by load that enters.

    Returns
    -------
    Board or None
        None where they do not leave room for one another.
    """
    for ways in [cleared, []] if cleared else [[]]:
        board = Board(instance, at)
        if not in_time(board) or not put_ways(board, ways):
            continue
        if _placed(board, fill):
            return board if early_enough(board) else None
    return None


def _placed(board: Board, fill: Fill) -> bool:
    """Place what is not on the board yet; whether all of it found room."""
    for number in at_their_times(board.instance):
        if number not in board.ways and not insert(board, number):
            return False
    for number, way in fill.items():
        routes, dwells = [route for route, _ in way], [dwell for _, dwell in way]
        if not insert(board, number, dwells=dwells, routes=routes):
            return False
    for number in in_turn(board.instance):
        if number in board.ways:
            continue
        low, high = turn_of(board, number)
        if not insert(board, number, not_before=low, not_after=high):
            return False
    return True
