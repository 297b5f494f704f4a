"""How often the cycle restarts while carriers stand in one station, read off an order."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from fractions import Fraction
from math import ceil

from hoistopt.problem import Station

from .moves import Line, Stay
from .ratio import Constraint

Wraps = tuple[int, ...]

Place = Sequence[int] | Mapping[int, int]
"""Where moves come in the order: the lesser the sooner."""

Option = tuple[int, tuple[tuple[Stay, int], ...], list[Constraint]]
"""Restarts in all, restarts of each stay, and what the stays demand."""


def wraps_of(stays: Sequence[Stay], place: Place, capacity: int, fifo: bool) -> Iterator[Wraps]:
    """Numbers of cycle restarts, one a stay, with which the station is never too full.

    `place[move]` is the move's place in the order. A stay with w restarts has w of its
    carriers standing at the start of the cycle, one more after the move that brings
    them, one less after the move that takes them.
    """
    first = [0 if place[s.arrive] < place[s.leave] else 1 for s in stays]
    gained = max(
        sum((place[s.arrive] <= moment) - (place[s.leave] <= moment) for s in stays)
        for moment in (place[s.arrive] for s in stays)
    )
    for wraps in _up_to(capacity - gained, first):
        if not fifo or _fifo(stays, wraps, place):
            yield wraps


def _up_to(total: int, first: Sequence[int]) -> Iterator[Wraps]:
    """All tuples of numbers, each at least its first, that add up to at most a total."""
    if not first:
        if total >= 0:
            yield ()
        return
    for mine in range(first[0], total - sum(first[1:]) + 1):
        for rest in _up_to(total - mine, first[1:]):
            yield (mine, *rest)


def _fifo(stays: Sequence[Stay], wraps: Wraps, place: Place) -> bool:
    """Whether carriers leave in the order they arrived, over all repetitions."""
    for a, wrap_a in zip(stays, wraps, strict=True):
        for b, wrap_b in zip(stays, wraps, strict=True):
            # A carrier of b so many cycles later arrives after the one of a ...
            fewest = int(place[a.arrive] >= place[b.arrive])
            # ... and leaves before it.
            most = wrap_a - wrap_b - int(place[a.leave] <= place[b.leave])
            if fewest <= most:
                return False
    return True


def dwell(line: Line, stay: Stay, wraps: int) -> list[Constraint]:
    """The dwell is at least the minimum, also after a late arrival, and at most the maximum."""
    ticks = line.moves[stay.arrive].ticks
    late = line.late[stay.arrive]
    found = [(stay.arrive, stay.leave, ticks + late + stay.least, wraps)]
    if stay.most is not None:
        found.append((stay.leave, stay.arrive, -ticks - stay.most, -wraps))
    return found


def in_turn(place: Place, moves: Collection[int]) -> tuple[int, ...]:
    """Moves in the order in which they come; what a station asks depends on no more."""
    return tuple(sorted(moves, key=place.__getitem__))


def option(line: Line, stays: Sequence[Stay], wraps: Sequence[int]) -> Option:
    """Stays with their restarts, as one option of a group."""
    pairs = tuple(zip(stays, wraps, strict=True))
    return sum(wraps), pairs, [c for stay, wrap in pairs for c in dwell(line, stay, wrap)]


def rests(
    line: Line, station: Station, stays: Sequence[Stay], place: Place, standing: int
) -> list[Constraint]:
    """Every carrier finds a place that has been empty for long enough.

    Of carriers numbered in order of arrival, number n can only come once the lifting number
    n - capacity is long enough ago. `standing` carriers stand there when the cycle starts, so
    its first lifting is that of the number -standing.
    """
    assert isinstance(station.capacity, int)
    came = sorted((stay.arrive for stay in stays), key=place.__getitem__)
    went = sorted((stay.leave for stay in stays), key=place.__getitem__)
    found = []
    for number, brought in enumerate(came):
        cycle, index = divmod(number - station.capacity + standing, len(went))
        lifted = went[index]
        apart = least_after(line, station, lifted, brought)
        found.append((lifted, brought, apart, -cycle))
    return found


def least_after(line: Line, station: Station, lifted: int, brought: int) -> int:
    """Least ticks from the start of a lifting move to that of the one which sets down next.

    The carrier is set down what is left over of the move's last tick before its planned end.
    """
    exact = Fraction(station.min_rest) / line.clock.tick
    move = line.moves[brought]
    early = Fraction(move.left_over - 10**20, 10**40)  # roots are cut off
    return ceil(exact + early) - move.ticks + line.late[lifted]
