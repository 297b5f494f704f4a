"""Spans in which a load may be lifted at each of its stages, and the way back through them."""

from __future__ import annotations

from typing import NamedTuple

from ....instance import Move, Route
from ...model.constraints.several import apart
from .board import Board
from .room import EVER, Cell
from .spans import Spans, shifted, within

Way = int | Route
"""What a load is lifted for: of one hoist a place that it leaves, as every way from there is
alike; of several the route by which it leaves, for each hoist asks time of the one before."""


class Piece(NamedTuple):
    """Lifts for a way at some times, after coming by a route at some others."""

    onward: Way
    route: Route
    came: Spans
    lifts: Spans
    least: int
    most: int


def ways_on(board: Board, move: Move) -> list[Way]:
    """What a load may be lifted for to make a move."""
    return list(move.sources if board.instance.several is None else move.routes)


def way_of(board: Board, route: Route) -> Way:
    """The `Way` of a route: its source, or, of several hoists, the route itself."""
    return route.source if board.instance.several is None else route


def place_of(way: Way) -> int:
    """The place that a load leaves."""
    return way.source if isinstance(way, Route) else way


def stays_for(board: Board, route: Route, onward: Way) -> int:
    """The least dwell for the sake of the hoists: another one lifts once the first is gone."""
    several = board.instance.several
    if several is None or not isinstance(onward, Route):
        return 0
    asked = apart(several, route, onward)
    return 0 if asked is None else asked[1] - route.duration


def piece_of(
    onward: Way, route: Route, came: Spans, cell: Cell, least: int, most: int
) -> Piece | None:
    """Lifts that may follow some times of coming; None without any.

    Parameters
    ----------
    onward : int or Route
        What the load is lifted for.
    route : Route
        By which it comes.
    came : list of span
        When it may come, at least one span.
    cell : Cell
        When the place has room.
    least, most : int
        Ticks that it stands there.
    """
    if cell.came_last < came[0][0] or least > most:
        return None
    arrivals = within(came, cell.came_first, cell.came_last)
    if not arrivals:
        return None
    lifts = within(shifted(arrivals, least, min(most, EVER)), cell.left_first, cell.left_last)
    if not lifts:
        return None
    return Piece(onward, route, arrivals, lifts, least, most)


def back_through(
    board: Board, trail: list[list[Piece]], start: int, route: Route
) -> list[tuple[int, Route]]:
    """The way that ends with a move; at each stage the load comes as late as can be."""
    way = [(start, route)]
    for pieces in reversed(trail):
        start, route = way[-1]
        latest: tuple[int, Route] | None = None
        for piece in pieces:
            if piece.onward != way_of(board, route):
                continue
            if not any(a <= start <= b for a, b in piece.lifts):
                continue
            came = within(piece.came, start - piece.most, start - piece.least)
            if came and (latest is None or came[-1][1] > latest[0]):
                latest = (came[-1][1], piece.route)
        assert latest is not None
        way.append((latest[0] - latest[1].duration, latest[1]))
    return way[::-1]
