"""Slack and float: how late any one start may be, once and for good.

Neither needs rules of its own. Schedules with so much of them are the schedules of a
changed line, on which every rule and every bound does its work.

Slack. A start that is late once makes others late by no more than that, so no maximum is
exceeded if every dwell lies below its maximum by as much. And it is, otherwise: by the
move that ends a dwell with less to spare. So the least slack of all moves is the least
room below a maximum, whatever else happens: take it off the maxima.

Float, the free float of project scheduling. All moves may start so and so much later for
good, one at a time, if every move could take that much longer, and every maximum were
shorter by what the move out may be late.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from .data import Instance, Move, Stay, Turnround


@dataclass(frozen=True)
class Margins:
    """Ticks to keep: below each maximum, by stay; after each move, by move."""

    rooms: tuple[int, ...]
    floats: tuple[int, ...]


def no_margins(instance: Instance) -> Margins:
    """Margins of 0 ticks for every stay and every move."""
    return Margins((0,) * len(instance.stays), (0,) * len(instance.moves))


def with_slack(instance: Instance, ticks: int, given: Margins) -> Margins:
    """Rooms of so many ticks, or all that a window narrower than that has to give; never
    less than given."""
    rooms = tuple(
        0
        if stay.most is None
        else max(
            given.rooms[stay.index], min(ticks, width(instance, stay) - given.floats[stay.arrival])
        )
        for stay in instance.stays
    )
    return replace(given, rooms=rooms)


def with_float(instance: Instance, ticks: int, given: Margins) -> Margins:
    """Floats of so many ticks, or all that the windows next to a move have to give.

    The move into a tank and the move out of it share the width of the window: either has
    half of it to give at most. Never less than given.
    """
    floats = [ticks] * len(instance.moves)
    for stay in instance.stays:
        if stay.most is None:
            continue
        whole = max(0, width(instance, stay))
        room = given.rooms[stay.index]
        floats[stay.departure] = min(floats[stay.departure], whole // 2)
        floats[stay.arrival] = min(floats[stay.arrival], whole // 2, max(0, whole - room))
    return replace(given, floats=tuple(map(max, floats, given.floats)))


def width(instance: Instance, stay: Stay) -> int:
    """What a dwell may vary by, whichever way the carrier comes; the stay has a maximum."""
    assert stay.most is not None
    return stay.most - stay.least - max(r.shaved for r in instance.moves[stay.arrival].routes)


def tightened(instance: Instance, margins: Margins) -> Instance:
    """The instance whose schedules are those of `instance` that have the margins.

    Whoever keeps the float of a move keeps it whichever other moves are late as well: every
    set of moves may be late by their floats, and all others start on time.
    """
    rooms = (
        max(margins.rooms[stay.index], margins.floats[stay.departure]) for stay in instance.stays
    )
    return padded(instance, margins.floats, tuple(rooms))


def padded(instance: Instance, pads: Sequence[int], rooms: Sequence[int]) -> Instance:
    """The instance with every move longer and every maximum shorter, starts kept.

    Parameters
    ----------
    pads : sequence of int
        Ticks that each move may end late, by move, without making any other start late.
    rooms : sequence of int
        Ticks that each dwell keeps below its maximum, by stay, counted from the planned end
        of the move before.
    """
    return replace(
        instance,
        moves=tuple(_longer(move, pads[move.index]) for move in instance.moves),
        stays=tuple(
            _shorter(stay, pads[stay.arrival], rooms[stay.index]) for stay in instance.stays
        ),
        turnrounds=tuple(_later(chain, pads) for chain in instance.turnrounds),
    )


def _longer(move: Move, pad: int) -> Move:
    routes = tuple(
        replace(route, duration=route.duration + pad, pad=route.pad + pad) for route in move.routes
    )
    return replace(move, routes=routes)


def _shorter(stay: Stay, pad: int, room: int) -> Stay:
    """The dwell now begins when the move before has been as late as it may."""
    return replace(
        stay,
        most=None if stay.most is None else stay.most - pad - room,
        nominal=None if stay.nominal is None else stay.nominal - pad,
        room=stay.room + (0 if stay.most is None else room),
    )


def _later(chain: Turnround, pads: Sequence[int]) -> Turnround:
    """Spacing between ends of moves, or between starts, after a first one that is late.

    Counted from the end of a move to a start, the longer move has done it already. From
    start to start it has not; from end to end the second is not late, only longer.
    """
    if not (chain.from_start or chain.to_end):
        return chain
    lags = tuple(
        tuple(
            lag + pads[source if chain.from_start else target]
            for target, lag in zip(chain.targets, row, strict=True)
        )
        for source, row in zip(chain.sources, chain.lags, strict=True)
    )
    return replace(chain, lags=lags)
