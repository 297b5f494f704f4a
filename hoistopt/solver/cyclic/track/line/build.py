"""Build a line from an instance, where a search along the track can be used."""

from __future__ import annotations

import itertools

from .....instance import Instance, Move, Turnround
from ....bounds import horizon
from .metric import metric
from .stations import FAR, Line, Station, Window

MOST_CROSSING = 4
"""Loads carried over one cut in a cycle.

With more there are too many orders of crossings, and a search through time does better.
"""

LONGEST = 1 << 19
"""Ticks of a cycle; packed times of 32 bits hold no more."""


def can_search_track(instance: Instance) -> bool:
    """Return whether a search along the track is possible, and worth while.

    Every move must have a single route, and every cut must be crossed by one load at least
    and by no more than ``MOST_CROSSING``.
    """
    # With a choice of tanks, or of the hoist, a move has no fixed place along the track.
    if any(len(move.routes) != 1 for move in instance.moves) or horizon(instance) > LONGEST:
        return False
    line = track_line(instance)
    return all(1 <= len(line.crossing(cut)) <= MOST_CROSSING for cut in range(len(line.lengths)))


def track_line(instance: Instance) -> Line:
    """Build the line of an instance whose moves have a single route each.

    It is a relaxation: the number of carriers and the capacity of stations with several
    places are left out. What has no schedule here has none in the instance.
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
    """Return the minimum time between starts; with the same load the dwell is added."""
    gap = instance.gaps[a.index][b.index]
    stay, before = instance.stay_after.get(a.index), instance.stay_before.get(b.index)
    if stay is not None and stay is before and instance.places[stay.places[0]].capacity == 1:
        return max(gap, a.shortest + stay.least)
    return gap


def _station(instance: Instance, place: int, leave: int, reach: int) -> Station:
    windows: list[Window] = []
    partner: dict[int, int] = {}
    follow: dict[tuple[int, int], int] = {}
    bringing: list[int] = []
    # In a place for one load its dwell is the time until the next move there. With more places
    # loads overlap, and the window is left out: a relaxation.
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
            bringing += chain.sources
        if chain.place == place or (chain.place is None and set(chain.sources) <= set(here)):
            follow |= _follow(instance, chain)
    return Station(here, tuple(windows), partner, follow, frozenset(bringing), leave, reach)


def _follow(instance: Instance, chain: Turnround) -> dict[tuple[int, int], int]:
    """Return the lags of a turnround as minimum times from start to start."""
    found = {}
    for i, a in enumerate(chain.sources):
        for j, b in enumerate(chain.targets):
            before = 0 if chain.from_start else instance.moves[a].shortest
            after = instance.moves[b].shortest if chain.to_end else 0
            found[a, b] = chain.lags[i][j] + before - after
    return found
