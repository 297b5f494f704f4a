"""Load and unload stations, and the empty carriers between them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import permutations, product

from hoistopt.problem import Station

from .moves import Line, Stay
from .ratio import Constraint
from .standing import Option, Place, in_turn, option, wraps_of

Segment = tuple[int, int, int]
"""Move that brings a carrier, move that takes it again, least ticks in between."""


def spacing(line: Line, order: Sequence[int]) -> list[Constraint]:
    """Separate ends served from outside: number i+capacity is min_occupation after i.

    A carrier is set down a fraction of a tick before its move was planned to end; where
    that fraction is greater for the later one, they come too close without another tick.
    """
    if line.problem.carriers.return_ == "hoist":
        return []
    place = {move: where for where, move in enumerate(order)}
    return [
        constraint
        for number, moves in _spaced_moves(line)
        for constraint in _spacing(line, number, in_turn(place, moves))
    ]


@lru_cache(maxsize=8)  # the same for every order of a line's moves
def _spaced_moves(line: Line) -> list[tuple[int, list[int]]]:
    """The numbers of ends where carriers need room, each with the moves that need it."""
    return [
        (number, lifts(line, station) if station.kind == "load" else arrivals(line, station))
        for number, station in enumerate(line.problem.stations)
        if station.kind in ("load", "unload") and station.capacity != "unlimited"
    ]


@lru_cache(maxsize=2000)  # many orders of all moves are the same for those of one station
def _spacing(line: Line, number: int, turn: tuple[int, ...]) -> list[Constraint]:
    """What one end demands of its moves, which come in turn."""
    station = line.problem.stations[number]
    assert station.capacity != "unlimited"
    least = line.clock.up(station.min_occupation)
    unload = station.kind == "unload"
    found = []
    for rank, move in enumerate(turn):
        cycles, later = divmod(rank + station.capacity, len(turn))
        other = turn[later]
        sooner = line.moves[other].left_over - line.moves[move].left_over
        apart = unload * (line.moves[move].ticks - line.moves[other].ticks + (sooner > 10**20))
        found.append((move, other, least + line.late[move] + apart, cycles))
    return found


def arrivals(line: Line, station: Station) -> list[int]:
    """Moves that set a carrier down at an end of the line."""
    return [i for i, move in enumerate(line.moves) if move.target == station.name]


def lifts(line: Line, station: Station) -> list[int]:
    """Moves that lift a carrier at an end of the line."""
    return [i for i, move in enumerate(line.moves) if move.source == station.name]


def standing_ends(line: Line) -> list[Station]:
    """Ends where carriers set down stand until the hoist lifts them again."""
    by_hoist = line.problem.carriers.return_ == "hoist"
    kinds = ("load", "unload") if by_hoist else ("load-unload",)
    return [s for s in line.problem.stations if s.kind in kinds and arrivals(line, s)]


def matchings(line: Line, station: Station) -> Iterator[list[tuple[int, int]]]:
    """Which lift takes the carrier that each arrival brought."""
    came, went = arrivals(line, station), lifts(line, station)
    if station.kind == "unload":  # the return move of the same load
        yield [(i, line.number(line.moves[i].load, line.moves[i].step + 1)) for i in came]
    else:  # carriers there are alike
        for taken in permutations(went):
            yield list(zip(came, taken, strict=True))


def end_groups(line: Line, place: Place) -> list[list[Option]]:
    """For each end with limited places the ways carriers can stand there."""
    return [_end_options(line, number, in_turn(place, moves)) for number, moves in _end_moves(line)]


@lru_cache(maxsize=8)
def _end_moves(line: Line) -> list[tuple[int, set[int]]]:
    """The numbers of ends with limited places, each with the moves that come there or go."""
    return [
        (number, {move for pairs in matchings(line, station) for pair in pairs for move in pair})
        for number, station in enumerate(standing_ends(line))
        if station.capacity != "unlimited"
    ]


@lru_cache(maxsize=2000)
def _end_options(line: Line, number: int, turn: tuple[int, ...]) -> list[Option]:
    """The ways of one end whose moves come in turn."""
    station = standing_ends(line)[number]
    assert station.capacity != "unlimited"
    least = line.clock.up(station.min_occupation)
    place = {move: where for where, move in enumerate(turn)}
    options = []
    for pairs in matchings(line, station):
        stays = [Stay(station.name, a, b, least, None) for a, b in pairs]
        options += [
            option(line, stays, wraps)
            for wraps in wraps_of(stays, place, station.capacity, fifo=False)
        ]
    return options


def free_returns(line: Line, place: Sequence[int], left: int) -> Iterator[list[Constraint]]:
    """Every way of sending carriers round where no capacity counts, `left` restarts in all.

    Spending fewer restarts is never better: one more only gives a carrier more time.
    """
    for bundles in product(*_bundles(line)):
        segments = [segment for bundle in bundles for segment in bundle]
        first = [0 if place[a] < place[b] else 1 for a, b, _ in segments]
        spare = left - sum(first)
        if spare < 0:
            continue
        for extra in _shares(spare, len(segments)):
            yield [
                (a, b, line.moves[a].ticks + line.late[a] + least, low + more)
                for (a, b, least), low, more in zip(segments, first, extra, strict=True)
            ]


@lru_cache(maxsize=4)  # the same for every order of a line's moves
def _bundles(line: Line) -> list[list[list[Segment]]]:
    """Sets of returns, each with all its matchings."""
    clock, problem = line.clock, line.problem
    found = []
    for station in standing_ends(line):
        if station.capacity == "unlimited":
            least = clock.up(station.min_occupation)
            found.append([[(a, b, least) for a, b in pairs] for pairs in matchings(line, station)])
    if problem.carriers.return_ == "outside":
        by_name = problem.station_by_name
        came = [i for i, m in enumerate(line.moves) if by_name[m.target].kind == "unload"]
        went = [i for i, m in enumerate(line.moves) if by_name[m.source].kind == "load"]

        def least_between(a: int, b: int) -> int:
            unload, load = by_name[line.moves[a].target], by_name[line.moves[b].source]
            return (
                clock.up(unload.min_occupation)
                + clock.up(problem.carriers.return_time)
                + clock.up(load.min_occupation)
            )

        found.append(
            [
                [(a, b, least_between(a, b)) for a, b in zip(came, taken, strict=True)]
                for taken in permutations(went)
            ]
        )
    return found


def _shares(total: int, parts: int) -> Iterator[tuple[int, ...]]:
    """All ways of dealing out a total; with no parts nothing needs dealing out."""
    if parts == 0:
        yield ()
    elif parts == 1:
        yield (total,)
    else:
        for mine in range(total + 1):
            for rest in _shares(total - mine, parts - 1):
                yield (mine, *rest)
