"""Baseline with several hoists: fixed zones with hand-over, first come first served.

What people do by hand, common practice, no source: the track is cut into a zone for each hoist, a
load is lifted by the hoist in whose zone it stands, and passed on in the first tank beyond that it
is to stand in. Loads are placed in the order given, each as early as it can be out beside those
before, by hoistopt's own insertion; where hoists find no way to give way, the load enters a little
later. Of all cuts, and of each move made by whichever hoist has its load out first, the best
counts.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

from hoistopt.instance.finite import FiniteInstance
from hoistopt.problem import Problem
from hoistopt.solver.finite import Timing, add_loads
from hoistopt.solver.finite.board import Board
from hoistopt.solver.finite.giving_way import goes
from hoistopt.solver.finite.insertion import insert
from hoistopt.solver.finite.times import value

LATER = 1
"""Units of time by which a load is tried later where hoists find no way; then twice that, and so
on."""
TRIES = 20


def in_zones(problem: Problem, instance: FiniteInstance) -> Timing | None:
    """The best programme of all cuts of the track: least lateness, then least finish.

    Returns
    -------
    Timing or None
        None where no cut leaves a way for every load.
    """
    hoped = []
    for number, cut in enumerate(_cuts(problem, instance)):
        timing = add_loads(cut, {}, range(len(cut.loads)), in_order=True)
        if timing is not None:
            hoped.append((value(cut, timing), number, timing, cut))
    best: tuple[tuple[int, int], Timing] | None = None
    for least, _, timing, cut in sorted(hoped, key=lambda one: one[:2]):
        if best is not None and least >= best[0]:
            break  # with ways for the hoists it is hardly sooner
        found = timing if goes(cut, timing) else first_come(cut)
        if found is not None and (best is None or value(cut, found) < best[0]):
            best = value(cut, found), found
    return None if best is None else best[1]


def first_come(instance: FiniteInstance) -> Timing | None:
    """All loads in the order given, each as early as it can be; None where one has no place."""
    board, entered = Board(instance), 0
    for number in range(len(instance.loads)):
        not_before, later = entered, int(LATER * instance.ticks_per_unit)
        for _ in range(TRIES):
            other = board.copy()
            if not insert(other, number, not_before=not_before):
                return None
            entered = other.ways[number][0][0]
            if goes(instance, _so_far(other)):
                break
            not_before = entered + later
            later *= 2
        else:
            return None
        board = other
    return board.timing()


def _so_far(board: Board) -> Timing:
    """The moves of the loads placed already."""
    made = [move for way in board.ways.values() for move in way]
    return Timing(tuple(start for start, _ in made), tuple(route for _, route in made))


def _cuts(problem: Problem, instance: FiniteInstance) -> Iterator[FiniteInstance]:
    """The line as it is, and with each move left to the hoist of the zone it begins in."""
    yield instance
    at = [Fraction(station.position or 0) for station in problem.stations]
    for borders in combinations(sorted(set(at))[1:-1], len(problem.hoists) - 1):
        moves = tuple(
            replace(
                move,
                routes=tuple(
                    route
                    for route in move.routes
                    if route.hoist == bisect_right(borders, at[route.source])
                ),
            )
            for move in instance.moves
        )
        if all(move.routes for move in moves):
            yield replace(instance, moves=moves)
