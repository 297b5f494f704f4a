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

from dataclasses import dataclass, replace

from ....instance import Instance, Move, Stay, Turnround


@dataclass(frozen=True)
class Margins:
    """Ticks to keep: below each maximum, by stay; after each move, by move."""

    rooms: tuple[int, ...]
    floats: tuple[int, ...]


def no_margins(instance: Instance) -> Margins:
    """Nothing to spare."""
    return Margins((0,) * len(instance.stays), (0,) * len(instance.moves))


def with_slack(instance: Instance, ticks: int, given: Margins) -> Margins:
    """Rooms of so many ticks, or all that a window narrower than that has to give."""
    rooms = tuple(
        0
        if stay.most is None
        else max(0, min(ticks, width(instance, stay) - given.floats[stay.arrival]))
        for stay in instance.stays
    )
    return replace(given, rooms=rooms)


def with_float(instance: Instance, ticks: int, given: Margins) -> Margins:
    """Floats of so many ticks, or all that the windows next to a move have to give.

    The move into a tank and the move out of it share the width of the window: either has
    half of it to give at most.
    """
    floats = [ticks] * len(instance.moves)
    for stay in instance.stays:
        if stay.most is None:
            continue
        whole = max(0, width(instance, stay))
        room = given.rooms[stay.index]
        floats[stay.departure] = min(floats[stay.departure], whole // 2)
        floats[stay.arrival] = min(floats[stay.arrival], whole // 2, max(0, whole - room))
    return replace(given, floats=tuple(floats))


def width(instance: Instance, stay: Stay) -> int:
    """What a dwell may vary by, whichever way the carrier comes; the stay has a maximum."""
    assert stay.most is not None
    return stay.most - stay.least - max(r.shaved for r in instance.moves[stay.arrival].routes)


def tightened(instance: Instance, margins: Margins) -> Instance:
    """The instance whose schedules are those of `instance` that have the margins.

    Exactly so but for spacing between set downs, or lifts, of several loads of a cycle
    at one end of the line that differ in float: there the largest counts for all.
    """
    return replace(
        instance,
        moves=tuple(_longer(move, margins) for move in instance.moves),
        stays=tuple(_shorter(stay, margins) for stay in instance.stays),
        turnrounds=tuple(_later(chain, margins) for chain in instance.turnrounds),
    )


def _longer(move: Move, margins: Margins) -> Move:
    late = margins.floats[move.index]
    routes = tuple(replace(route, duration=route.duration + late) for route in move.routes)
    return replace(move, routes=routes)


def _shorter(stay: Stay, margins: Margins) -> Stay:
    """The dwell now begins when the move before has been as late as it may."""
    before, after = margins.floats[stay.arrival], margins.floats[stay.departure]
    lost = before + max(after, margins.rooms[stay.index])
    return replace(
        stay,
        most=None if stay.most is None else stay.most - lost,
        nominal=None if stay.nominal is None else stay.nominal - before,
    )


def _later(chain: Turnround, margins: Margins) -> Turnround:
    # Counted from the end of a move, the longer move has done it already. Counted from
    # start to start, or end to end, it has not. A move spaced from itself, a cycle on,
    # is as late again.
    if not (chain.from_start or chain.to_end) or len(chain.sources) == 1:
        return chain
    more = max(margins.floats[move] for move in chain.sources)
    return replace(chain, lags=tuple(tuple(lag + more for lag in row) for row in chain.lags))
