"""From the end of a traversal back to the order of moves that led there."""

from __future__ import annotations

from .traverse import Track, Traversal
from .ways import EMPTY, PASSING, Way


def order_of(track: Track, traversal: Traversal, end: tuple[int, int, Way]) -> list[int]:
    """The moves in order, round the cycle, of one of the ends of a traversal."""
    ring: list[tuple[int, bool]] = []
    for cut, (way, first) in enumerate(_trail(track, traversal, end)):
        ring = _served(ring, way) if cut else [(move, True) for move in way.served[0]]
        if any(crosses for _, crosses in ring):
            places = [place for place, (_, crosses) in enumerate(ring) if crosses]
            ring = ring[places[first] :] + ring[: places[first]]
    return [move for move, _ in ring]


def _trail(track: Track, traversal: Traversal, end: tuple[int, int, Way]) -> list[tuple[Way, int]]:
    """By station, the way it is served, and which crossing of the right cut comes first."""
    front, row, way = end
    trail = [(way, 0)]
    for cut in range(len(traversal.fronts) - 1, -1, -1):
        here = traversal.fronts[cut][front]
        came = here.came[row]
        shape = traversal.fronts[cut - 1][came[0]].shape if cut else ()
        way = track.ways(cut, shape)[came[2]]
        trail.append((way, int(came[3])))
        front, row = int(came[0]), int(came[1])
    return trail[::-1]


def _served(ring: list[tuple[int, bool]], way: Way) -> list[tuple[int, bool]]:
    """The order with a station served.

    Parameters
    ----------
    ring : list of (int, bool)
        Moves, or EMPTY, and whether they cross the station's left cut; the first of those
        that do crosses it to the right, the next to the left, and so on.
    """
    on = {crossing.slot for crossing in way.crossings if crossing.move == PASSING}
    trips = iter(way.served)
    found: list[tuple[int, bool]] = []
    crossing = 0
    for move, crosses in ring:
        if move != EMPTY:
            found.append((move, crosses and crossing in on))
        if crosses:
            if crossing % 2 == 0:
                found += [(new, True) for new in next(trips)]
            crossing += 1
    return found
