"""One line that allows whatever any of several changed lines allows: a bound for all of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ...base.clock import Clock
from ...instance import Instance, Move, Route, Stay, Turnround
from ...schedule import Schedule
from ...solver import least_cycle


def bound_of_all(lines: Sequence[Instance], known: Schedule, clock: Clock) -> int:
    """Return a bound, in ticks, that no cycle of any of the lines is below.

    Parameters
    ----------
    lines : sequence of Instance
        Lines with the same moves, as :func:`comparable` tells.
    known : Schedule
        Of one of them.
    clock : Clock
        When it is over, the bound is what is proved by then.
    """
    return least_cycle(allowing_all(lines), clock, known=known).bound


def comparable(one: Instance, other: Instance) -> bool:
    """Whether two lines have the same moves, between the same places.

    Of several hoists they are made in the same times as well: what two hoists forbid the time
    between their starts is not less for whatever is quicker.
    """
    return _settings(one) == _settings(other) and all(
        len(mine.routes) == len(yours.routes)
        and all(
            (a.source, a.target, a.hoist, a.path) == (b.source, b.target, b.hoist, b.path)
            for a, b in zip(mine.routes, yours.routes, strict=True)
        )
        for mine, yours in zip(one.moves, other.moves, strict=True)
    )


def allowing_all(lines: Sequence[Instance]) -> Instance:
    """Return a line of which every schedule of one of `lines` is a schedule, with its starts.

    Every move has its shortest time, and the hoist its shortest empty travel. A load is then
    set down earlier than in the line of a slower move, and so its dwell may be longer by
    as much; what is counted to that moment at the ends of the line is shorter by as much.

    Parameters
    ----------
    lines : sequence of Instance
        All comparable with one another.
    """
    first = lines[0]
    moves = tuple(_move([line.moves[index] for line in lines]) for index in range(len(first.moves)))
    stays = tuple(
        _stay([line.stays[stay.index] for line in lines], lines, moves[stay.arrival])
        for stay in first.stays
    )
    chains = tuple(
        _turnround([line.turnrounds[number] for line in lines], lines, moves)
        for number in range(len(first.turnrounds))
    )
    empty = tuple(
        tuple(min(times) for times in zip(*rows, strict=True))
        for rows in zip(*(line.empty for line in lines), strict=True)
    )
    return replace(
        first,
        moves=moves,
        stays=stays,
        turnrounds=chains,
        empty=empty,
        carriers=_most([line.carriers for line in lines]),
        shortest=min(line.shortest for line in lines),
        longest=_most([line.longest for line in lines]),
    )


def _settings(line: Instance) -> tuple[object, ...]:
    """All that has to be the same, but for the routes."""
    return (
        line.places,
        len(line.moves),
        [(stay.arrival, stay.departure, stay.places) for stay in line.stays],
        [replace(chain, lags=(), most=None) for chain in line.turnrounds],
        (line.degree, line.alike, line.order_given, line.helped, line.ticks_per_unit, line.several),
    )


def _most(limits: Sequence[int | None]) -> int | None:
    """The greatest; None, no limit, where there is one."""
    found = [limit for limit in limits if limit is not None]
    return max(found) if len(found) == len(limits) else None


def _move(moves: Sequence[Move]) -> Move:
    """A move with the shortest time of each route; fractions of a tick ask for nothing."""
    routes = zip(*(move.routes for move in moves), strict=True)
    return replace(moves[0], routes=tuple(_route(list(same)) for same in routes))


def _route(routes: Sequence[Route]) -> Route:
    duration = min(route.duration for route in routes)
    return replace(routes[0], duration=duration, excess=0, shaved=0)


def _stay(stays: Sequence[Stay], lines: Sequence[Instance], arrival: Move) -> Stay:
    """The widest window, counted from the earliest moment at which a load is set down."""
    least: list[int] = []
    most: list[int | None] = []
    for stay, line in zip(stays, lines, strict=True):
        ways = zip(line.moves[stay.arrival].routes, arrival.routes, strict=True)
        for route, quickest in ways:
            later = route.duration - quickest.duration
            least.append(stay.least + later)
            most.append(None if stay.most is None else stay.most - route.shaved + later)
    return replace(stays[0], least=min(least), most=_most(most))


def _turnround(
    chains: Sequence[Turnround], lines: Sequence[Instance], moves: Sequence[Move]
) -> Turnround:
    """The shortest lags; where they run to the end of a move, that may be earlier by as much."""
    first = chains[0]
    lags = []
    for row in range(len(first.sources)):
        cells = []
        for column, target in enumerate(first.targets):
            earlier = _earlier(lines, moves[target]) if first.to_end else 0
            cells.append(min(chain.lags[row][column] for chain in chains) - earlier)
        lags.append(tuple(cells))
    return replace(first, lags=tuple(lags), most=_most([chain.most for chain in chains]))


def _earlier(lines: Sequence[Instance], move: Move) -> int:
    """By how much a move may be over earlier than in one of the lines."""
    return max(
        route.duration - quickest.duration
        for line in lines
        for route, quickest in zip(line.moves[move.index].routes, move.routes, strict=True)
    )
