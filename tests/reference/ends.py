"""Load and unload stations, and the empty carriers between them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import permutations, product

from hoistopt.problem import Station

from .moves import Line, Stay
from .ratio import Constraint
from .standing import Option, option, wraps_of

Segment = tuple[int, int, int]
"""Move that brings a carrier, move that takes it again, least ticks in between."""


def spacing(line: Line, order: Sequence[int]) -> list[Constraint]:
    """Separate ends served from outside: number i+capacity is min_occupation after i.

    A carrier is set down a fraction of a tick before its move was planned to end; where
    that fraction is greater for the later one, they come too close without another tick.
    """
    if line.problem.carriers.return_ == "hoist":
        return []
    found = []
    for station in line.problem.stations:
        if station.kind not in ("load", "unload") or station.capacity == "unlimited":
            continue
        least = line.clock.up(station.min_occupation)
        if station.kind == "load":
            events = [(i, 0) for i in order if line.moves[i].source == station.name]
        else:
            events = [
                (i, line.moves[i].ticks) for i in order if line.moves[i].target == station.name
            ]
        for number, (move, after) in enumerate(events):
            cycles, later = divmod(number + station.capacity, len(events))
            other, other_after = events[later]
            sooner = line.moves[other].left_over - line.moves[move].left_over
            early = station.kind == "unload" and sooner > 10**20
            apart = least + after + line.late[move] - other_after + early
            found.append((move, other, apart, cycles))
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


def end_groups(line: Line, place: Sequence[int]) -> list[list[Option]]:
    """For each end with limited places the ways carriers can stand there."""
    groups = []
    for station in standing_ends(line):
        if station.capacity == "unlimited":
            continue
        least = line.clock.up(station.min_occupation)
        options = []
        for pairs in matchings(line, station):
            stays = [Stay(station.name, a, b, least, None) for a, b in pairs]
            options += [
                option(line, stays, wraps)
                for wraps in wraps_of(stays, place, station.capacity, fifo=False)
            ]
        groups.append(options)
    return groups


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
