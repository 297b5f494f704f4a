"""Programmes of several hoists to begin with: the track cut into a zone for each.

A load is lifted by the hoist in whose zone it stands, and so passed on in the first place beyond
that it is set down in. Hoists that keep to zones are seldom in one another's way; placed one by one
with any hoist, each load as early as it can be out, loads leave the later ones little room.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, islice, pairwise

from ....base.clock import Clock
from ....instance import Route
from ....instance.finite import FiniteInstance
from ..giving_way import goes
from ..times import Timing, value
from .board import Board
from .construct import arrivals, first_board, turn_of
from .insertion import insert

MOST_CUTS = 200
TRIES = 14
"""Times that a load is tried later where hoists find no way, twice as much each time."""


def in_zones(instance: FiniteInstance, clock: Clock) -> Timing | None:
    """The best programme of all cuts of the track that were tried in time.

    Returns
    -------
    Timing or None
        None where there is one hoist, or no cut was found in which hoists find their ways.
    """
    hoped: list[tuple[tuple[int, int], int, Timing, FiniteInstance]] = []
    half = clock.share(0.5)
    for number, cut in enumerate(cuts(instance)):
        board = None if half.over and hoped else first_board(cut, clock)
        if board is not None:
            timing = board.timing()
            hoped.append((value(cut, timing), number, timing, cut))
    best: Timing | None = None
    for least, _, timing, cut in sorted(hoped, key=lambda one: one[:2]):
        # With ways for the hoists it is hardly sooner than without.
        if best is not None and (clock.over or least >= value(instance, best)):
            break
        found = timing if goes(cut, timing, clock, first=best is None) else with_ways(cut, clock)
        if found is not None and (best is None or value(cut, found) < value(cut, best)):
            best = found
        if clock.over:
            break
    return best


def cuts(instance: FiniteInstance) -> Iterator[FiniteInstance]:
    """The line with each move left to the hoist of the zone that it begins in.

    First those in which the hoists have the most even shares of the places.
    """
    if instance.several is None:
        return
    places = sorted({_begins(route) for move in instance.moves for route in move.routes})
    hoists = len(instance.several)

    def uneven(numbers: tuple[int, ...]) -> int:
        ends = (0, *numbers, len(places))
        return max(b - a for a, b in pairwise(ends)) - min(b - a for a, b in pairwise(ends))

    choices = sorted(combinations(range(1, len(places)), hoists - 1), key=uneven)
    for numbers in islice(choices, MOST_CUTS):
        borders = [places[number] for number in numbers]
        moves = tuple(
            replace(
                move,
                routes=tuple(
                    route
                    for route in move.routes
                    if route.hoist == bisect_right(borders, _begins(route))
                ),
            )
            for move in instance.moves
        )
        if all(move.routes for move in moves):
            yield replace(instance, moves=moves)


def _begins(route: Route) -> Fraction:
    """The position at which a move lifts its load."""
    assert route.path is not None
    return route.path.low[0][1]


def with_ways(instance: FiniteInstance, clock: Clock) -> Timing | None:
    """Loads placed one by one, each so late that the hoists find their ways; None where one has
    no place, or where loads stand in the line already."""
    board = Board(instance)
    waiting = arrivals(instance)
    if len(waiting) < len(instance.loads):
        return None
    for number in waiting:
        low, high = turn_of(board, number)
        later = max(1, int(instance.ticks_per_unit))
        for _ in range(TRIES):
            other = board.copy()
            if clock.over or not insert(other, number, not_before=low, not_after=high):
                return None
            if goes(instance, _so_far(other), clock):
                break
            low, later = other.ways[number][0][0] + later, 2 * later
        else:
            return None
        board = other
    return board.timing()


def _so_far(board: Board) -> Timing:
    """The moves of the loads placed already."""
    made = [move for way in board.ways.values() for move in way]
    return Timing(tuple(start for start, _ in made), tuple(route for _, route in made))
