"""What a search along the track looks at: stations in a row, and what is due at each."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

from ....instance import Instance, Move, Turnround
from ...bounds import horizon
from .metric import metric

FAR = 1 << 28
"""Longer than any cycle."""


@dataclass(frozen=True)
class Window:
    """From the start of move `first` to the next start of `then`: between `low` and `high`."""

    first: int
    then: int
    low: int
    high: int


@dataclass(frozen=True)
class Station:
    """A place on the track.

    Attributes
    ----------
    moves : tuple of int
        Those that begin or end here.
    windows : tuple of Window
        Dwells of loads that stand here.
    partner : dict
        For a station of one place: the move that takes away what a move brings.
    apart : dict
        Where one move directly follows another here: least time from start to start.
    turns : frozenset of int
        For an end of the line with one place: moves that bring a carrier, which any next
        move may take away.
    leave, reach : int
        What an empty hoist needs on top of travel to start from here, and to stop here.
    """

    moves: tuple[int, ...]
    windows: tuple[Window, ...]
    partner: dict[int, int]
    apart: dict[tuple[int, int], int]
    turns: frozenset[int]
    leave: int
    reach: int


@dataclass(frozen=True)
class Line:
    """Stations from left to right; `lengths` are those of the cuts between neighbours.

    Attributes
    ----------
    source, target : tuple of int
        Stations of each move, by their number from the left.
    duration : tuple of int
    gap : tuple of tuple of int
        Least time from the start of one move to that of a later one, where they meet on the
        far side of a cut.
    entering : tuple of tuple of int
        Moves that start in this order, going round the cycle.
    """

    stations: tuple[Station, ...]
    lengths: tuple[int, ...]
    source: tuple[int, ...]
    target: tuple[int, ...]
    duration: tuple[int, ...]
    gap: tuple[tuple[int, ...], ...]
    at: tuple[int, ...]
    entering: tuple[tuple[int, ...], ...]

    def crossing(self, cut: int) -> list[int]:
        """Moves over a cut."""
        return [
            move
            for move, (u, v) in enumerate(zip(self.source, self.target, strict=True))
            if min(u, v) <= cut < max(u, v)
        ]


MOST_CROSSING = 4
"""Loads over a cut in one cycle; with more there are too many orders of them."""

LONGEST = 1 << 19
"""Ticks of a cycle; numbers used are made for no more."""


def can_follow(instance: Instance) -> bool:
    """Whether following the track is worth while, and possible.

    Every move has one way only, every part of the track is crossed by a load, and none by
    many.
    """
    if any(len(move.routes) != 1 for move in instance.moves) or horizon(instance) > LONGEST:
        return False
    line = track_line(instance)
    return all(1 <= len(line.crossing(cut)) <= MOST_CROSSING for cut in range(len(line.lengths)))


def track_line(instance: Instance) -> Line:
    """The line of an instance whose moves have one way each.

    Left out, and so relaxed: how many carriers there are, and what stations of several
    places allow beyond the dwell of each load.
    """
    moves = instance.moves
    used = sorted({p for move in moves for p in (*move.sources, *move.targets)})
    lie = metric(instance.empty, used)
    places = sorted(used, key=lambda place: lie.at[place])
    number = {place: i for i, place in enumerate(places)}
    groups = [tuple(range(instance.jobs))] if instance.order_given else list(instance.alike)
    return Line(
        stations=tuple(
            _station(instance, place, lie.leave[place], lie.reach[place]) for place in places
        ),
        lengths=tuple(lie.at[right] - lie.at[left] for left, right in itertools.pairwise(places)),
        source=tuple(number[move.sources[0]] for move in moves),
        target=tuple(number[move.targets[0]] for move in moves),
        duration=tuple(move.shortest for move in moves),
        gap=tuple(tuple(_gap(instance, a, b) for b in moves) for a in moves),
        at=tuple(lie.at[place] for place in places),
        entering=tuple(
            tuple(instance.first_moves[job] for job in jobs) for jobs in groups if len(jobs) > 2
        ),
    )


def _gap(instance: Instance, a: Move, b: Move) -> int:
    """Least time between starts; with the same load the dwell comes on top."""
    gap = instance.gaps[a.index][b.index]
    stay, before = instance.stay_after.get(a.index), instance.stay_before.get(b.index)
    if stay is not None and stay is before and instance.places[stay.places[0]].capacity == 1:
        return max(gap, a.shortest + stay.least)
    return gap


def _station(instance: Instance, place: int, leave: int, reach: int) -> Station:
    windows: list[Window] = []
    partner: dict[int, int] = {}
    apart: dict[tuple[int, int], int] = {}
    turns: list[int] = []
    if instance.places[place].capacity == 1:
        for stay in instance.stays_at.get(place, ()):
            route = instance.moves[stay.arrival].routes[0]
            high = FAR if stay.most is None else route.duration + stay.most - route.shaved
            windows.append(Window(stay.arrival, stay.departure, route.duration + stay.least, high))
            partner[stay.arrival] = stay.departure
    here = tuple(
        move.index for move in instance.moves if place in (move.sources[0], move.targets[0])
    )
    for chain in instance.turnrounds:
        if chain.most != 1:
            continue
        if chain.place == place:
            turns += chain.sources
        if chain.place == place or (chain.place is None and set(chain.sources) <= set(here)):
            apart |= _apart(instance, chain)
    return Station(here, tuple(windows), partner, apart, frozenset(turns), leave, reach)


def _apart(instance: Instance, chain: Turnround) -> dict[tuple[int, int], int]:
    found = {}
    for i, a in enumerate(chain.sources):
        for j, b in enumerate(chain.targets):
            before = 0 if chain.from_start else instance.moves[a].shortest
            after = instance.moves[b].shortest if chain.to_end else 0
            found[a, b] = chain.lags[i][j] + before - after
    return found


def reversed_line(line: Line) -> Line:
    """The same line seen in a mirror with time running backwards.

    A move from u to v becomes one from where v is seen to where u is seen, so what went
    right still goes right; what set a carrier down now lifts it.
    """
    last = len(line.stations) - 1
    d = line.duration

    def shift(a: int, b: int) -> int:
        return d[b] - d[a]

    def seen(station: Station) -> Station:
        return replace(
            station,
            windows=tuple(
                Window(
                    w.then,
                    w.first,
                    w.low + shift(w.first, w.then),
                    w.high if w.high == FAR else w.high + shift(w.first, w.then),
                )
                for w in station.windows
            ),
            partner={b: a for a, b in station.partner.items()},
            apart={(b, a): time + shift(a, b) for (a, b), time in station.apart.items()},
            turns=frozenset(b for a, b in station.apart if a in station.turns),
            leave=station.reach,
            reach=station.leave,
        )

    count = len(d)
    at = line.at
    return Line(
        stations=tuple(seen(station) for station in reversed(line.stations)),
        lengths=line.lengths[::-1],
        source=tuple(last - v for v in line.target),
        target=tuple(last - u for u in line.source),
        duration=d,
        gap=tuple(tuple(line.gap[b][a] + shift(b, a) for b in range(count)) for a in range(count)),
        at=tuple(at[-1] - x for x in reversed(at)),
        entering=tuple(moves[::-1] for moves in line.entering),
    )
