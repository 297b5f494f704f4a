"""All patterns an order can have, each as a system of difference constraints."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from itertools import product

from .ends import end_groups, free_returns, spacing
from .moves import Line, Stay
from .ratio import Constraint
from .standing import Option, in_turn, option, rests, wraps_of


def patterns(
    line: Line,
    order: Sequence[int],
    wanted: Callable[[list[Constraint]], bool] = lambda constraints: True,
) -> Iterator[tuple[list[Constraint], tuple[tuple[Stay, int], ...]]]:
    """Every choice of restarts and of carriers sent round again, given the order.

    Carriers are sent round only where the rest of the constraints, without them, is wanted.
    """
    place = [0] * len(order)
    for where, move in enumerate(order):
        place[move] = where
    always = hoist(line, order) + spacing(line, order)
    groups = tank_groups(line, place)
    if not all(groups):
        return
    groups += end_groups(line, place)
    count = line.problem.carriers.count
    for options in product(*groups):
        restarts = sum(option[0] for option in options)
        constraints = always + [c for option in options for c in option[2]]
        stays = tuple(pair for option in options for pair in option[1])
        if count is None:
            yield constraints, stays
        elif count >= restarts and wanted(constraints):
            for returns in free_returns(line, place, count - restarts):
                yield constraints + returns, stays


def hoist(line: Line, order: Sequence[int]) -> list[Constraint]:
    """Every move leaves time to reach the source of every other, in this and the next cycle."""
    forward = [(a, b, line.gap[a][b], 0) for i, a in enumerate(order) for b in order[i + 1 :]]
    onward = [(b, a, line.gap[b][a], 1) for i, a in enumerate(order) for b in order[i:]]
    return forward + onward


def tank_groups(line: Line, place: Sequence[int]) -> list[list[Option]]:
    """For each tank the ways its stays can go on over the end of the cycle."""
    return [
        _tank_options(line, number, in_turn(place, moves)) for number, moves in _tank_moves(line)
    ]


@lru_cache(maxsize=8)  # the same for every order of a line's moves
def _tank_moves(line: Line) -> list[tuple[int, set[int]]]:
    """The numbers of stations where loads stand, each with the moves that come there or go."""
    found = []
    for number, station in enumerate(line.problem.stations):
        stays = [stay for stay in line.stays if stay.station == station.name]
        if stays:
            found.append((number, {move for s in stays for move in (s.arrive, s.leave)}))
    return found


@lru_cache(maxsize=2000)  # many orders of all moves are the same for those of one station
def _tank_options(line: Line, number: int, turn: tuple[int, ...]) -> list[Option]:
    """The ways of one station whose moves come in turn."""
    station = line.problem.stations[number]
    stays = [stay for stay in line.stays if stay.station == station.name]
    place = {move: where for where, move in enumerate(turn)}
    assert station.capacity != "unlimited"
    fifo = station.order == "fifo" and station.capacity > 1
    options = [
        option(line, stays, wraps) for wraps in wraps_of(stays, place, station.capacity, fifo)
    ]
    if station.min_rest:
        for restarts, _, demands in options:
            demands += rests(line, station, stays, place, restarts)
    return options
